"""Looks planned in advance, on the command line: the data up to the last of them, and a plan that stays."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Any

import pytest
from tiny_stores import csv_of, loaded, manifest, put, refused, rows, said

from reliability.comparer.spending import PlannedLooks
from reliability.rate import Rate

if TYPE_CHECKING:
    from pathlib import Path

PLAN = "2025Q1-2025Q4"  # the rows go from the first of March to the 29th of July: two looks so far


@pytest.fixture
def folder(tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> Path:
    """Five drives over 151 days; one fails before the second look, one after it."""
    monkeypatch.chdir(tmp_path)
    failing = {0: 100, 1: 140}
    histories = [
        rows(
            f"A{number}",
            range(failing[number] + 1 if number in failing else 151),
            failed={failing[number]: "1"} if number in failing else "",
        )
        for number in range(5)
    ]
    put(tmp_path / "rows.csv", csv_of(*histories))
    put(tmp_path / "sheets.toml", '[[datasheet]]\nmodel = "TARN T18"\nafr_percent = 2.0\n')
    loaded(capsys, tmp_path / "fleet", tmp_path / "rows.csv")
    return tmp_path


def compared(capsys: pytest.CaptureFixture[str], *more: str) -> dict[str, Any]:
    found = said(capsys, "compare", "--datasheets", "sheets.toml", "--format", "json", *more)
    assert found.code == 0, found.err
    (model,) = json.loads(found.out)["models"]
    assert isinstance(model, dict)
    return model


@pytest.mark.usefixtures("folder")
def test_the_verdict_is_of_the_data_up_to_the_last_planned_look(capsys: pytest.CaptureFixture[str]) -> None:
    found = compared(capsys, "--looks", PLAN)
    days = [5 * 31, 4 * 122 + 101]  # by the 31st of March, by the 30th of June
    limits = PlannedLooks((days[0] / 365, days[1] / 365), 4).interval(Rate(1, days[1]))
    assert (found["failures"], found["drive_years"]) == (1, pytest.approx(days[1] / 365))
    assert (found["afr_low"], found["afr_high"]) == pytest.approx((limits.low, limits.high))
    assert found["sentence"].endswith("(look 2 of 4 planned)")
    assert compared(capsys)["failures"] == 2


def test_the_first_plan_is_kept_and_another_one_refused(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    compared(capsys, "--looks", PLAN)
    assert manifest(folder / "fleet")["looks"] == PLAN
    other = ("compare", "--datasheets", "sheets.toml", "--looks", "2025Q1-2025Q2")
    refused(capsys, folder, *other, naming=[PLAN, "2025Q1-2025Q2", "keeps no level"])
    assert compared(capsys, "--looks", "2025q1 - 2025Q4")["failures"] == 1


@pytest.mark.parametrize(
    ("plan", "naming"),
    [
        ("2025Q1", ["--looks 2025Q1 is no plan", "2026Q1-2027Q4"]),
        ("2025Q4-2025Q1", ["ends before it begins"]),
        ("2025Q1-2035Q1", ["plans 41 looks; plan at most 40", "running comparison"]),
        ("2025Q1-soon", ["'soon' is not a quarter"]),
        ("2024Q4-2025Q4", ["the end of 2024Q4, on 2024-12-31", "2025-03-01"]),
        ("2025Q3-2025Q4", ["the end of 2025Q3, on 2025-09-30", "2025-07-29"]),
    ],
)
def test_what_is_no_plan_or_has_no_look_yet_is_refused(
    folder: Path, capsys: pytest.CaptureFixture[str], plan: str, naming: list[str]
) -> None:
    refused(capsys, folder, "compare", "--datasheets", "sheets.toml", "--looks", plan, naming=naming)
    assert manifest(folder / "fleet")["looks"] is None


@pytest.mark.usefixtures("folder")
def test_the_table_says_at_which_look(capsys: pytest.CaptureFixture[str]) -> None:
    text = said(capsys, "compare", "--datasheets", "sheets.toml", "--looks", PLAN).out
    assert "(look 2 of 4 planned)" in text
    assert "single planned look" not in text


def test_a_datasheet_without_drives_and_retirements_are_judged_at_the_same_look(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    sheets = folder / "sheets.toml"
    sheets.write_text(sheets.read_text() + '\n[[datasheet]]\nmodel = "ULLA U8"\nafr_percent = 1.0\n')
    log = put(folder / "log.csv", "serial,date,outcome,reason\nA3,2025-05-20,retired,bad sectors\n")
    put(folder / "more.csv", csv_of(rows("A3", range(81)), rows("B1", range(151))))
    loaded(capsys, folder / "two", folder / "more.csv", "--removals", log)
    text = said(capsys, "compare", "--datasheets", "sheets.toml", "--looks", PLAN, "--store", "two").out
    assert "ULLA U8: Too little exposure to say: no exposure" in text
    assert "Retired for warning signs (look 2 of 4 planned)" in text
    assert "single planned look" not in text


@pytest.mark.usefixtures("folder")
def test_that_a_plan_is_for_good_is_told_once(capsys: pytest.CaptureFixture[str]) -> None:
    asked = ("compare", "--datasheets", "sheets.toml", "--looks", PLAN)
    assert said(capsys, *asked).err == (
        f"driveyears: the looks of the store in fleet are now planned as {PLAN}, for good: "
        "a plan that could change with the data would keep no level.\n"
    )
    assert said(capsys, *asked).err == ""
