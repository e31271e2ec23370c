"""What people would otherwise not hear of, and take for something else."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING

import pytest
from tiny_stores import csv_of, day, put, rejects, rows, said

from reliability.loaders.load import load

if TYPE_CHECKING:
    from pathlib import Path

SHEETS = '[[datasheet]]\nmodel = "{model}"\nmtbf_hours = 2500000\noperating_temperature_c = [5, 30]\n'


@pytest.fixture(scope="module")
def store(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Two models, one of whose names is not of ASCII, and temperatures around 30 degrees."""
    folder = tmp_path_factory.mktemp("told")
    warm = {number: str(28 + number % 5) for number in range(60)}
    history = csv_of(
        rows("A", range(60), model="PELL P/12", temperature_c=warm, failed={59: "1"}, power_on_hours="99"),
        rows("B", range(60), model="Törn T8", temperature_c=warm, power_on_hours={0: "24"}),
    )
    load([str(put(folder / "a.csv", history))], folder / "fleet")
    return folder / "fleet"


def test_a_store_of_nothing_but_rejected_rows_says_so_and_why(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    numbers = {number: f"{24 * number},5" for number in range(30)}
    text = csv_of(rows("A", range(30), power_on_hours=numbers), delimiter=";")
    rules = put(tmp_path / "m.toml", '[file]\ndelimiter = ";"\n')
    found = said(capsys, "load", put(tmp_path / "a.csv", text), "--mapping", rules, "--store", tmp_path / "f")
    assert found.code == 0
    assert found.err.startswith("driveyears: every row was rejected, so the store in ")
    for told in (found.out, said(capsys, "checks", "--store", tmp_path / "f").out):
        (line,) = [line for line in told.splitlines() if "no finite number" in line]
        assert line.split()[:2] == ["30", "power_on_hours"]
        assert 'write decimal = ","' in line
        assert "0,5" in line
        assert line.rstrip().endswith("2   a.csv")


def test_of_many_kinds_of_faults_the_most_frequent_are_told_and_the_rest_counted(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    ahead = [f"29{number:02}-01-01,A,M\n" for number in range(12)]
    text = "date,serial,model\n2025-03-01,A,M\n2025-03-02,,M\n2025-03-03,,M\n" + "".join(ahead)
    found = said(capsys, "load", put(tmp_path / "a.csv", text), "--store", tmp_path / "f")
    kinds = [line for line in found.out.splitlines() if line.endswith("a.csv")]
    assert len(kinds) == 10
    assert kinds[0].split()[:4] == ["2", "serial", "no", "serial"]
    assert "And 3 further kinds, of 3 rows." in found.out


def test_rejected_entries_of_a_removal_log_are_told_in_every_format(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = put(tmp_path / "a.csv", csv_of(rows("A", range(9)), rows("B", range(9))))
    ahead = datetime.now(UTC).date() + timedelta(days=2)
    entries = f"A,{day(8)},failed\nB,09.03.2025,failed\nB,{day(8)},broken\nB,{ahead},failed\n"
    log = put(tmp_path / "log.csv", "serial,date,outcome\n" + entries)
    for shown_as in ("table", "json", "csv"):
        found = said(capsys, "load", file, "--removals", log, "--store", tmp_path / "f", "--format", shown_as)
        assert found.code == 0
        assert found.err == (
            f"driveyears: 3 of 4 rows of the removal log {log} cannot be used: "
            f"`driveyears checks --store {tmp_path / 'f'}` says why. Mend the log, and load it again.\n"
        )
    assert [(line, column, value) for line, column, value, _ in rejects(tmp_path / "f")] == [
        (3, "date", "09.03.2025"),
        (4, "outcome", "broken"),
        (5, "date", f"{ahead}"),
    ]
    assert "lies ahead of tomorrow" in said(capsys, "checks", "--store", tmp_path / "f").out


def test_a_store_of_a_log_alone_is_not_said_to_have_lost_rows(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    log = put(tmp_path / "log.csv", f"serial,date,outcome\nA,{day(8)},failed\n")
    found = said(capsys, "load", "--removals", log, "--store", tmp_path / "f")
    assert (found.code, found.err) == (0, "")
    asked = said(capsys, "rates", "--store", tmp_path / "f")
    assert asked.code == 2
    assert "holds no drive-day: no snapshots were loaded yet." in asked.err


def test_a_datasheet_in_another_spelling_gives_its_rating(
    store: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    answers = []
    for number, name in enumerate(("PELL P/12", "pell  P/12")):
        sheets = put(tmp_path / f"{number}.toml", SHEETS.format(model=name))
        answers.append(said(capsys, "signals", "--datasheets", sheets, "--store", store, "--format", "json"))
    assert answers[0] == answers[1]
    (temperature,) = [each for each in answers[0].json["signals"] if each["signal"] == "temperature"]
    assert {each["state"]: each["drive_days"] for each in temperature["states"]}["exposed"] > 0


def test_what_is_not_rated_is_not_called_unreported(
    store: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    sheets = put(tmp_path / "d.toml", SHEETS.format(model="Nobody 1"))
    found = said(capsys, "signals", "--datasheets", sheets, "--store", store)
    (unrated,) = [line for line in found.out.splitlines() if line.startswith("No datasheet states a rating")]
    assert "Temperature" in unrated
    assert not [line for line in found.out.splitlines() if "Never" in line and "Temperature" in line]


def test_a_name_that_nearly_is_a_model_is_told(
    store: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    near = put(tmp_path / "near.toml", SHEETS.format(model="PELL P12"))
    found = said(capsys, "compare", "--datasheets", near, "--store", store)
    assert f"no drive is of the model 'PELL P12' of {near}; if 'PELL P/12' is meant, write it so" in found.err
    for name in ("pell p/12", "PELL P13", "Some other 7"):
        sheets = put(tmp_path / "d.toml", SHEETS.format(model=name))
        assert said(capsys, "compare", "--datasheets", sheets, "--store", store).err == ""
    found = said(capsys, "survival", "--model", "PELL P21", "--store", store)
    assert found.err == (
        "driveyears: There is no model 'PELL P21' in the store, did you mean 'PELL P/12'? "
        "Its models are 'PELL P/12', 'Törn T8'.\n"
    )


def test_a_window_without_a_drive_tells_which_days_there_are(
    store: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    found = said(capsys, "rates", "--from", "2031-01-01", "--store", store)
    assert found.err == (
        f"driveyears: no drive was seen in this window; the data go from {day(0)} to {day(59)}.\n"
    )
    assert said(capsys, "rates", "--store", store).err == ""


def test_a_report_on_part_of_a_quarter_says_so(
    store: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    found = said(capsys, "report", "--quarter", "2025Q1", "--out", tmp_path / "r", "--store", store)
    assert f"2025Q1 is not complete: the data go from {day(0)} to {day(59)}.\n" in found.out


@pytest.mark.parametrize("shown_as", ["table", "csv", "json"])
def test_a_terminal_without_our_letters_is_told_all_the_same(shown_as: str, store: Path) -> None:
    asked = [sys.executable, "-m", "reliability", "rates", "--store", str(store), "--format", shown_as]
    done = subprocess.run(  # noqa: S603  (our own program)
        asked, env={**os.environ, "PYTHONIOENCODING": "ascii"}, capture_output=True, check=False
    )
    assert (done.returncode, done.stderr) == (0, b"")
    text = done.stdout.decode("ascii")
    assert "PELL P/12" in text
    if shown_as == "json":
        assert [row["model"] for row in json.loads(text)["rows"]] == ["PELL P/12", "Törn T8"]
    else:
        assert r"T\xf6rn T8" in text


def test_what_it_takes_is_told_before_there_is_a_sample(capsys: pytest.CaptureFixture[str]) -> None:
    stated = ("plan", "--stated-afr", "0.35")
    found = said(capsys, *stated)
    assert (found.code, found.err) == (0, "")
    assert found.out.startswith("What it takes, from nothing, at a stated 0.35 %\n")
    nothing = said(capsys, *stated, "--failures", "0", "--drive-years", "0", "--format", "json")
    assert said(capsys, *stated, "--format", "json") == nothing
    assert nothing.json["drive_years"] == 0
    assert "fleet" in said(capsys, *stated, "--fleet-drives", "120", "--since", "2027-01-01").out


def test_a_file_is_no_store(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = put(tmp_path / "a.csv", "date,serial,model\n")
    found = said(capsys, "rates", "--store", file)
    assert found.code == 2
    assert found.err == f"driveyears: {file} is a file, and a store is a folder; name one with --store.\n"
