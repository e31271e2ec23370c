"""JSON, CSV and tables of rates, compare, checks and load, in the shape that the design promises."""

from __future__ import annotations

import csv
import io
from typing import TYPE_CHECKING, Any

import pytest
from scipy.stats import chi2
from tiny_stores import csv_of, put, rows, said

from reliability.loaders.load import load

if TYPE_CHECKING:
    from pathlib import Path

COUNTS = ["drives", "drive_days", "drive_years", "failures", "afr", "afr_low", "afr_high"]
ACCOUNTS = ["files", "files_set_aside", "rows_read", "rows_kept", "rows_rejected", "duplicate_rows"]
OUTCOMES = ["drives", "failed", "retired", "vanished", "in_service"]
SHEETS = """
[[datasheet]]
model = "tarn-t18"
mtbf_hours = 2500000
[[datasheet]]
model = "ORM 4"
afr_percent = 0.3
"""
BOUND = {"failures", "afr", "afr_low", "afr_high", "verdict"}
COMPARED = [
    *("model", "stated_rate", "failures", "drive_years", "expected_failures", "afr", "afr_low", "afr_high"),
    *("p_value", "verdict", "sentence", "more_drive_years", "vanished", "best", "worst", "tipping"),
    *("preemptive", "with_preemptive", "depends_on_preemptive", "unclear_retirements"),
    *("depends_on_vanished", "holm_verdict", "spread_verdict", "running"),
]
Asked = dict[str, Any]


@pytest.fixture(scope="module")
def store(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Two models over two quarters: one fails, one vanishes, one has no age, one no site; a row twice, one rejected."""
    folder = tmp_path_factory.mktemp("forms")
    clock = {number: str(24 * number + 30) for number in range(80)}
    history = csv_of(
        rows("A", range(80), site="north", power_on_hours=clock, batch="b1"),
        rows("B", range(60), site="north", power_on_hours=clock, failed={59: "1"}),
        rows("C", range(20), model="ULLA 20", power_on_hours=clock),
        rows("D", [*range(80), 79], model="ULLA 20"),
    )
    load([str(put(folder / "a.csv", history + "soon,E,M,,,,\n"))], folder / "fleet")
    put(folder / "sheets.toml", SHEETS)
    return folder / "fleet"


def asked(capsys: pytest.CaptureFixture[str], store: Path, *arguments: object) -> Any:  # noqa: ANN401  (JSON)
    found = said(capsys, *arguments, "--store", store, "--format", "json")
    assert (found.code, found.err) == (0, "")
    return found.json


def table_of(capsys: pytest.CaptureFixture[str], store: Path, *arguments: object) -> list[dict[str, str]]:
    found = said(capsys, *arguments, "--store", store, "--format", "csv")
    assert (found.code, found.err) == (0, "")
    return list(csv.DictReader(io.StringIO(found.out, newline=""), strict=True))


def as_cell(value: object) -> str:
    return "" if value is None else str(value)


def check_counts(row: Asked) -> None:
    """Whole numbers are whole, the rest are numbers or null, and they fit together."""
    assert all(type(row[name]) is int for name in ("drives", "drive_days", "failures"))
    assert row["drive_years"] == row["drive_days"] / 365
    if not row["drive_days"]:
        assert (row["afr"], row["afr_low"], row["afr_high"]) == (None, 0, None)
        return
    assert row["afr"] == row["failures"] / row["drive_years"], (
        "a failure rate per drive-year, unrounded, no percent"
    )
    failures, years = row["failures"], row["drive_years"]
    low = (
        chi2.ppf(0.025, 2 * failures) / 2 / years if failures else 0
    )  # Garwood (1936), by the chi-square form
    assert row["afr_low"] == pytest.approx(low)
    assert row["afr_high"] == pytest.approx(chi2.ppf(0.975, 2 * failures + 2) / 2 / years)


@pytest.mark.parametrize(
    ("by", "labels"),
    [
        (None, ["model"]),
        ("model,quarter", ["model", "quarter"]),
        ("age", ["age_from_days", "age_to_days"]),
        (" batch , site,batch", ["batch", "site"]),
        ("", []),
    ],
)
def test_rates(by: str | None, labels: list[str], store: Path, capsys: pytest.CaptureFixture[str]) -> None:
    arguments = ("rates",) if by is None else ("rates", "--by", by)
    found = asked(capsys, store, *arguments)
    assert found.keys() == {"level", "rows", "total", "left_out"}
    assert found["level"] == 0.95
    assert found["rows"]
    for row in found["rows"]:
        assert row.keys() == {*labels, *COUNTS}
        check_counts(row)
    assert found["total"].keys() == set(COUNTS)
    check_counts(found["total"])
    assert found["left_out"].keys() == {"drives", "drive_days", "failures"}
    assert all(type(count) is int for count in found["left_out"].values())
    for name in ("drive_days", "failures"):
        assert sum(row[name] for row in [*found["rows"], found["left_out"]]) == found["total"][name]
    assert (found["total"]["drives"], found["total"]["drive_days"], found["total"]["failures"]) == (4, 240, 1)
    assert found["left_out"]["drive_days"] == (80 if by == "age" else 0)
    lines = table_of(capsys, store, *arguments)
    assert list(lines[0]) == [*labels, *COUNTS]
    assert lines == [{name: as_cell(row[name]) for name in lines[0]} for row in found["rows"]]


def test_labels_of_cells(store: Path, capsys: pytest.CaptureFixture[str]) -> None:
    quarters = asked(capsys, store, "rates", "--by", "quarter")["rows"]
    assert [(row["quarter"], row["drive_days"]) for row in quarters] == [
        ("2025Q1", 31 * 3 + 20),
        ("2025Q2", 127),
    ]
    ages = asked(capsys, store, "rates", "--by", "age")["rows"]
    assert [(row["age_from_days"], row["age_to_days"]) for row in ages] == [(0, 91)]
    sites = asked(capsys, store, "rates", "--by", "site")["rows"]
    assert [row["site"] for row in sites] == ["north", None], "a missing group is null, and stands last"
    window = asked(capsys, store, "rates", "--from", "2025-03-31", "--to", "2025-04-01")
    assert window["total"]["drive_days"] == 3 * 2, "both days are in it"


def test_compare(store: Path, capsys: pytest.CaptureFixture[str]) -> None:
    sheets = store.parent / "sheets.toml"
    found = asked(capsys, store, "compare", "--datasheets", sheets)
    assert found.keys() == {"models"}
    models = {row["model"]: row for row in found["models"]}
    assert list(models) == ["ORM 4", "TARN T18", "ULLA 20"]
    for row in found["models"]:
        assert row.keys() == set(COMPARED)
        assert row["best"].keys() == row["worst"].keys() == row["with_preemptive"].keys() == BOUND
        assert type(row["failures"]) is int
        assert type(row["depends_on_vanished"]) is bool
        assert row["running"] is None
    seen, unseen, unstated = models["TARN T18"], models["ORM 4"], models["ULLA 20"]
    assert seen["stated_rate"] == pytest.approx(
        8760 / 2_500_000
    )  # 8,760 hours a year: common practice, no source
    assert (seen["verdict"], seen["failures"], seen["drive_years"]) == ("worse", 1, 140 / 365)
    assert seen["expected_failures"] == pytest.approx(seen["stated_rate"] * seen["drive_years"])
    assert seen["sentence"].startswith("Worse than the datasheet")
    assert (unseen["verdict"], unseen["drive_years"], unseen["afr"], unseen["afr_high"]) == (
        "too little",
        0,
        None,
        None,
    )
    assert unseen["more_drive_years"] > 0
    nulls = (
        "stated_rate",
        "expected_failures",
        "p_value",
        "verdict",
        "sentence",
        "more_drive_years",
        "tipping",
    )
    assert [unstated[name] for name in nulls] == [None] * len(nulls)
    assert unstated["vanished"] == 1
    lines = table_of(capsys, store, "compare", "--datasheets", sheets)
    assert [line["model"] for line in lines] == list(models)
    for line in lines:
        assert line == {name: as_cell(models[line["model"]][name]) for name in line}


def test_checks(store: Path, capsys: pytest.CaptureFixture[str]) -> None:
    found = asked(capsys, store, "checks")
    assert found.keys() == {*ACCOUNTS, *OUTCOMES, "checks"}
    assert [found[name] for name in ACCOUNTS] == [1, 0, 242, 240, 1, 1]
    assert [found[name] for name in OUTCOMES] == [4, 1, 0, 1, 2]
    assert {row["check"] for row in found["checks"]} == {"age_unknown", "duplicate", "vanished"}
    for row in found["checks"]:
        assert row.keys() == {"check", "drives", "rows"}
        assert (type(row["check"]), type(row["drives"]), type(row["rows"])) == (str, int, int)
    lines = table_of(capsys, store, "checks")
    assert lines == [{name: str(value) for name, value in row.items()} for row in found["checks"]]


def test_load(store: Path, capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    first = asked(capsys, tmp_path / "fleet", "load", store.parent / "a.csv")
    checks = asked(capsys, tmp_path / "fleet", "checks")
    assert first == checks, "the accounts of the first load are those of the store"
    again = asked(capsys, tmp_path / "fleet", "load", store.parent / "a.csv")
    assert [again[name] for name in ACCOUNTS] == [0] * len(ACCOUNTS), "this load did nothing"
    assert [again[name] for name in OUTCOMES] == [4, 1, 0, 1, 2]
    lines = table_of(capsys, tmp_path / "fleet", "load", store.parent / "a.csv")
    assert {line["check"] for line in lines} == {row["check"] for row in checks["checks"]}


def test_tables_for_people_have_headings_with_units_and_are_whole(
    store: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    sheets = ("--datasheets", store.parent / "sheets.toml")
    expected = {
        ("rates",): [
            "Model",
            "Drives",
            "Failures",
            "Drive-years",
            "Rate per year (95 %)",
            "TARN T18",
            "ULLA 20",
            "All",
        ],
        ("compare", *sheets): [
            "Model",
            "Failures",
            "Drive-years",
            "Rate per year (95 %)",
            "Stated",
            "Verdict",
            "0.35 %",
        ],
        ("checks",): [
            "Files",
            "Set aside",
            "Rows read",
            "Kept",
            "Rejected",
            "242",
            "age_unknown",
            "In service",
        ],
        ("rates", "--by", "age"): ["Age, days", "0 to 91", "Left out of the cells", "of unknown age"],
        ("rates", "--by", "site"): ["Site", "north", "not told"],
    }
    for arguments, words in expected.items():
        found = said(capsys, *arguments, "--store", store)
        assert (found.code, found.err) == (0, "")
        assert [word for word in words if word not in found.out] == []
        assert "\x1b" not in found.out, "no colour but on a terminal"
        assert "…" not in found.out, "nothing is cut off"
        assert all(len(line) <= 200 for line in found.out.splitlines() if "─" in line)


def test_every_command_has_help_with_an_example(capsys: pytest.CaptureFixture[str]) -> None:
    from reliability.cli.commands import COMMANDS  # noqa: PLC0415  (the list itself is what is tested)

    for command in COMMANDS:
        found = said(capsys, command, "--help")
        assert (found.code, found.err) == (0, "")
        assert f"Usage: driveyears {command}" in found.out
        assert f"Example: driveyears {command}" in found.out
        assert "--format" in found.out
