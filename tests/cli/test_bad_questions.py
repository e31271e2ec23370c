"""A question that cannot be answered is refused in one sentence with the value, the rule and the way out."""

from __future__ import annotations

import shutil
from typing import TYPE_CHECKING

import pytest
from tiny_stores import GOOD, put, refused, said

from reliability.loaders.load import load

if TYPE_CHECKING:
    from pathlib import Path

QUESTIONS: dict[str, tuple[list[str], list[str]]] = {
    "no day": (["rates", "--from", "2025-02-30"], ["--from 2025-02-30 is no day", "write it as 2026-03-31"]),
    "words for a day": (["rates", "--to", "today"], ["--to today is no day of the calendar"]),
    "a window the wrong way": (
        ["rates", "--from", "2025-03-05", "--to", "2025-03-01"],
        ["from 2025-03-05 to 2025-03-01 holds no day", "a first day that is not after the last"],
    ),
    "no grouping": (
        ["rates", "--by", "model,colour"],
        ["no grouping 'colour'", "group by any of model, quarter, age, site, rack, batch"],
    ),
    "no data in the quarter": (
        ["report", "--quarter", "2030Q1"],
        ["no day of 2030Q1", "2025-03-01 to 2025-03-02", "Ask for 2025Q1"],
    ),
    "no quarter": (["report", "--quarter", "2025-Q5"], ["'2025-Q5' is not a quarter", "such as 2026Q3"]),
    "no model": (["survival", "--model", "ULLA"], ["no model 'ULLA'", "TARN T18"]),
    "no datasheets": (
        ["compare", "--datasheets", "none.toml"],
        ["none.toml cannot be read", "a TOML file"],
    ),
    "a slip in an option": (["rates", "--stroe", "x"], ["Unknown option: --stroe", "Did you mean --store?"]),
    "a slip in a command": (["rtaes"], ['Unknown command "rtaes"', 'Did you mean "rates"?']),
    "a word too many": (["rates", "fleet"], ["'fleet' belongs to no option", "see --help"]),
    "no such format": (["rates", "--format", "xml"], ['"xml"', "Choose from:", '"json"']),
    "nothing to propose for": (["mapping"], ["SOURCE is missing"]),
    "a missing option": (["report"], ["--quarter is missing, or has no value; add it"]),
    "an option without its value": (
        ["compare", "--datasheets"],
        ["--datasheets is missing, or has no value; add it"],
    ),
}


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with a small store."""
    folder = tmp_path_factory.mktemp("made")
    load([str(put(folder / "a.csv", GOOD))], folder / "fleet")
    return folder


@pytest.fixture
def folder(made: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Where the store is that every command takes by default."""
    shutil.copytree(made, tmp_path, dirs_exist_ok=True)
    monkeypatch.chdir(tmp_path)
    return tmp_path


def test_each_is_refused_and_nothing_is_written(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    for question, words in QUESTIONS.values():
        refused(capsys, folder, *question, naming=words)


DATASHEETS: dict[str, tuple[str | bytes, list[str]]] = {
    "no TOML": ('[[datasheet]\nmodel = "M"\n', ["line 1"]),
    "nothing": ("", ["datasheet"]),
    "neither rate nor MTBF": (
        '[[datasheet]]\nmodel = "M"\n',
        ["(M): it states no rate", "mtbf_hours or afr_percent"],
    ),
    "several": (
        """
        [[datasheet]]
        model = "M"
        mtbf_hours = "2.5 million"
        [[datasheet]]
        model = "N"
        mtbf_hour = 1
        afr_percent = -1
        """,
        ["mtbf_hours is '2.5 million'", "afr_percent is -1", "'mtbf_hour', did you mean 'mtbf_hours'?"],
    ),
    "latin-1": ('[[datasheet]]\nmodel = "é"\n'.encode("latin-1"), ["utf-8"]),
}


@pytest.mark.parametrize("case", DATASHEETS)
def test_datasheets_with_faults_are_refused_by_compare_and_report_before_a_file_is_written(
    case: str, folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    content, words = DATASHEETS[case]
    sheets = put(folder / "sheets.toml", content)
    naming = [str(sheets), *words]
    refused(capsys, folder, "compare", "--datasheets", sheets, naming=naming)
    quarter = ("report", "--quarter", "2025Q1", "--out", folder / "new")
    refused(capsys, folder, *quarter, "--datasheets", sheets, naming=naming)


def test_a_report_cannot_be_written_where_a_file_stands(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    put(folder / "taken", "x")
    naming = ["The report cannot be written to", "taken", "--out"]
    refused(capsys, folder, "report", "--quarter", "2025Q1", "--out", folder / "taken", naming=naming)


@pytest.mark.usefixtures("folder")
def test_a_window_without_data_has_no_exposure_and_no_rate(capsys: pytest.CaptureFixture[str]) -> None:
    for window in (
        ("--from", "2035-01-01"),
        ("--to", "2001-01-01"),
        ("--from", "2035-01-01", "--by", "quarter,age"),
    ):
        found = said(capsys, "rates", *window, "--format", "json")
        assert found.code == 0
        assert found.json["rows"] == []
        total = found.json["total"]
        assert (total["drives"], total["drive_days"], total["failures"]) == (0, 0, 0)
        assert (total["afr"], total["afr_low"], total["afr_high"]) == (None, 0, None)
    assert "no exposure" in said(capsys, "rates", "--from", "2035-01-01").out
