"""The running comparison of a store: begun by the first report, told by compare, never changed."""

from __future__ import annotations

import json
from datetime import date
from typing import TYPE_CHECKING, Any

import pytest
from tiny_stores import csv_of, day, loaded, manifest, put, rows, said

from reliability.comparer.running import Mixture
from reliability.rate import Rate

if TYPE_CHECKING:
    from pathlib import Path

SHEET = '[[datasheet]]\nmodel = "TARN T18"\nafr_percent = {percent}\n'


@pytest.fixture
def folder(tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> Path:
    """A store of two models, one of them with a datasheet; one drive in twenty fails within sixty days."""
    monkeypatch.chdir(tmp_path)
    histories = [
        rows(f"A{number}", range(60 if number else 31), failed={30: "1"} if not number else "")
        for number in range(20)
    ]
    histories.append(rows("B", range(60), model="Osk 4", failed=""))
    put(tmp_path / "rows.csv", csv_of(*histories))
    put(tmp_path / "sheets.toml", SHEET.format(percent=2.0))
    loaded(capsys, tmp_path / "fleet", tmp_path / "rows.csv")
    return tmp_path


def report(capsys: pytest.CaptureFixture[str], quarter: str = "2025Q2", *more: str) -> str:
    """Write a report and give what was said on standard error."""
    found = said(capsys, "report", "--quarter", quarter, "--datasheets", "sheets.toml", *more)
    assert found.code == 0, found.err
    return found.err


def compared(capsys: pytest.CaptureFixture[str]) -> dict[str, Any]:
    """Compare, by model."""
    found = said(capsys, "compare", "--datasheets", "sheets.toml", "--format", "json")
    assert found.code == 0, found.err
    return {each["model"]: each for each in json.loads(found.out)["models"]}


def test_compare_begins_none(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert compared(capsys)["TARN T18"]["running"] is None
    assert manifest(folder / "fleet")["running"] == {}


def test_the_first_report_fixes_start_prior_and_level_of_every_model(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert report(capsys) == ""
    assert manifest(folder / "fleet")["running"] == {
        "TARN T18": {
            "start": day(0),
            "prior_shape": 1.0,
            "prior_drive_years": 50.0,
            "level": 0.95,
            "stated_rate": 0.02,
        },
        "Osk 4": {
            "start": day(0),
            "prior_shape": 1.0,
            "prior_drive_years": 100.0,
            "level": 0.95,
            "stated_rate": None,
        },
    }


@pytest.mark.usefixtures("folder")
def test_compare_tells_it_from_then_on_by_the_limits_of_the_mixture(
    capsys: pytest.CaptureFixture[str],
) -> None:
    report(capsys)
    found = compared(capsys)
    limits = Mixture(1.0, 50.0).interval(Rate(1, 19 * 60 + 31))
    assert found["TARN T18"]["running"] == {
        "low": pytest.approx(limits.low),
        "high": pytest.approx(limits.high),
        "verdict": "too little",
        "since": day(0),
    }
    assert found["Osk 4"]["running"]["verdict"] is None
    text = said(capsys, "compare", "--datasheets", "sheets.toml").out
    assert f"    Since {day(0)}: Too little exposure to say: AFR 31 %" in text
    assert "(valid at every look)" in text


def test_nothing_of_it_is_ever_changed_not_even_by_another_datasheet(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    report(capsys)
    before = manifest(folder / "fleet")
    put(folder / "sheets.toml", SHEET.format(percent=5.0))
    report(capsys)
    assert manifest(folder / "fleet") == before
    page = (folder / "report" / "2025Q2.html").read_text(encoding="utf-8")
    assert "stated 2.0\N{NO-BREAK SPACE}%, now 5.0\N{NO-BREAK SPACE}%" in page


def test_it_counts_from_its_beginning_on_also_if_older_files_come(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    report(capsys)
    running = compared(capsys)["TARN T18"]["running"]
    put(folder / "older.csv", csv_of(rows("Z", range(-40, 0), failed={-1: "1"})))
    loaded(capsys, folder / "fleet", folder / "older.csv")
    found = compared(capsys)["TARN T18"]
    assert found["failures"] == 2
    assert found["running"] == running


def test_a_model_that_comes_later_gets_one_at_its_first_report(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    report(capsys)
    before = manifest(folder / "fleet")["running"]
    put(folder / "newer.csv", csv_of(rows("N", range(60, 70), model="Korrin 12N")))
    loaded(capsys, folder / "fleet", folder / "newer.csv")
    assert manifest(folder / "fleet")["running"] == before
    report(capsys)
    after = manifest(folder / "fleet")["running"]
    assert set(after) - set(before) == {"Korrin 12N"}
    assert all(after[model] == before[model] for model in before)


def test_a_report_on_an_earlier_quarter_counts_up_to_its_own_last_day(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    report(capsys, "2025Q1")
    table = (folder / "report" / "tables" / "running.csv").read_text(encoding="utf-8").splitlines()
    (row,) = [line for line in table if line.startswith("TARN T18")]
    assert row.split(",")[1:4] == [day(0), "1", str(20 * 31)]
    assert date.fromisoformat(day(30)) == date(2025, 3, 31)


def test_a_store_that_cannot_be_written_to_has_its_report_with_a_sentence(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    lock = folder / "fleet" / ".lock"
    lock.unlink(missing_ok=True)
    lock.mkdir()  # what nobody can open for writing, whoever runs the tests
    said_so = report(capsys)
    assert said_so.startswith("driveyears: What the running comparison fixes could not be kept")
    assert said_so.count("\n") == 1
    assert manifest(folder / "fleet")["running"] == {}
    page = (folder / "report" / "2025Q2.html").read_text(encoding="utf-8")
    assert "could not be kept, so it holds for this report alone." in page
    assert "(valid at every look)" in page
    lock.rmdir()
    assert report(capsys) == ""
    assert "could not be kept" not in (folder / "report" / "2025Q2.html").read_text(encoding="utf-8")


def test_models_that_an_alias_makes_one_go_on_with_one_comparison(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    report(capsys)
    put(folder / "mapping.toml", '[models]\n"TARN T18" = ["Osk 4"]\n')
    put(folder / "more.csv", csv_of(rows("M", range(60, 62))))
    loaded(capsys, folder / "fleet", folder / "more.csv", "--mapping", folder / "mapping.toml")
    found = compared(capsys)
    assert set(found) == {"TARN T18"}
    limits = Mixture(1.0, 50.0).interval(Rate(1, 20 * 60 + 31 + 2))
    assert found["TARN T18"]["running"]["high"] == pytest.approx(limits.high)


def test_the_same_report_again_is_the_same_page(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    report(capsys)
    first = (folder / "report" / "2025Q2.html").read_bytes()
    report(capsys)
    assert (folder / "report" / "2025Q2.html").read_bytes() == first
