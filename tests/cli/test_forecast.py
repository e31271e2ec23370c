"""`driveyears forecast`: its three forms, what it counts, what it refuses."""

from __future__ import annotations

import csv
import io
from datetime import date
from typing import TYPE_CHECKING

import pytest
from scipy.stats import nbinom
from tiny_stores import FIRST, csv_of, day, put, refused, rows, said

from reliability.loaders.load import load
from reliability.loaders.store import open_store

if TYPE_CHECKING:
    from pathlib import Path

LAST = 220  # a day in October; the second and third quarter are whole, the third has days enough before it
ROW = [
    "in_service",
    "expected",
    "low",
    "high",
    "spares",
    "method",
    "because",
    "unknown_age",
    "beyond",
    "dispersion",
]


@pytest.fixture(scope="module")
def store(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """TARN T18: 12 drives, 3 of which fail, 2 in the third quarter; PELL P6: 4 of unknown age; ORM 4: gone."""
    folder = tmp_path_factory.mktemp("forecast")
    ends = {0: 40, 1: 140, 2: 200}
    tarn = [
        rows(
            f"T{number}",
            range(ends.get(number, LAST) + 1),
            power_on_hours={day: str(24 * (100 + day)) for day in range(LAST + 1)},
            failed={ends[number]: "1"} if number in ends else "0",
        )
        for number in range(12)
    ]
    pell = [rows(f"P{number}", range(LAST + 1), model="PELL P6", failed="0") for number in range(4)]
    orm = rows("O", range(30), model="ORM 4", failed={29: "1"})
    load([str(put(folder / "a.csv", csv_of(*tarn, *pell, orm)))], folder / "fleet")
    return folder / "fleet"


def test_json_has_the_shape_that_is_promised(store: Path, capsys: pytest.CaptureFixture[str]) -> None:
    found = said(capsys, "forecast", "--days", 90, "--store", store, "--format", "json")
    assert (found.code, found.err) == (0, "")
    assert list(found.json) == ["days", "service", "rows", "total", "backtest"]
    assert (found.json["days"], found.json["service"], found.json["backtest"]) == (90, 0.95, None)
    assert list(found.json["total"]) == ROW
    assert [list(row) for row in found.json["rows"]] == [["model", *ROW]] * 3
    in_service = {row["model"]: (row["in_service"], row["unknown_age"]) for row in found.json["rows"]}
    assert in_service == {"TARN T18": (9, 0), "PELL P6": (4, 4), "ORM 4": (0, 0)}
    assert found.json["total"]["in_service"] == 13
    assert found.json["total"]["expected"] == pytest.approx(
        sum(row["expected"] for row in found.json["rows"])
    )


def test_each_row_is_what_its_failures_and_exposure_say(
    store: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The negative binomial of scipy; nine drives for 90 days are near 9 x 90 drive-days, as few of them fail."""
    found = said(capsys, "forecast", "--days", 9, "--model", "pell-p6", "--store", store, "--format", "json")
    [row] = found.json["rows"]
    past, to_come = 4 * (LAST + 1), 4 * 9
    outside = nbinom(0.5, past / (past + to_come))
    assert row["expected"] == pytest.approx(outside.mean(), rel=0.02)
    assert row["spares"] == outside.ppf(0.95)
    assert {name: found.json["total"][name] for name in ROW} == {name: row[name] for name in ROW}


def test_a_model_without_a_drive_in_service_is_listed(
    store: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    found = said(capsys, "forecast", "--model", "ORM 4", "--store", store, "--format", "json")
    [row] = found.json["rows"]
    assert (row["expected"], row["low"], row["high"], row["spares"]) == (0, 0, 0, 0)
    assert row["method"] == "none in service"


def test_the_backtest_counts_what_failed_among_those_in_service(
    store: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    told = said(capsys, "forecast", "--backtest", "--store", store, "--format", "json").json["backtest"]
    assert [(each["quarter"], each["in_service"], each["observed"]) for each in told["quarters"]] == [
        ("2025Q3", 15, 2)
    ]
    assert [(each["model"], each["in_service"], each["observed"]) for each in told["models"]] == [
        ("PELL P6", 4, 0),
        ("TARN T18", 11, 2),
    ]
    assert told["calibration"]["models"]["trials"] == 2
    assert sum(told["calibration"]["quarters"]["fourths"]) == pytest.approx(1)


def test_the_backtest_sees_nothing_of_what_came(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], store: Path
) -> None:
    """A store that ends on the day before the quarter makes the forecast that the backtest tells of it."""
    eve = date(2025, 6, 30)
    lines = (store.parent / "a.csv").read_text().splitlines()
    known = "\n".join(
        line for line in lines if line[:10] in ("date,seria", *map(day, range((eve - FIRST).days + 1)))
    )
    load([str(put(tmp_path / "a.csv", known))], tmp_path / "fleet")
    assert open_store(tmp_path / "fleet").last_day == eve
    then = said(capsys, "forecast", "--days", 92, "--store", tmp_path / "fleet", "--format", "json").json
    told = said(capsys, "forecast", "--backtest", "--store", store, "--format", "json").json["backtest"]
    for name in ("in_service", "expected", "low", "high", "spares"):
        assert told["quarters"][0][name] == then["total"][name]
    assert {each["model"]: each["expected"] for each in told["models"]} == {
        row["model"]: row["expected"] for row in then["rows"] if row["in_service"]
    }


def test_csv_is_the_rows(store: Path, capsys: pytest.CaptureFixture[str]) -> None:
    found = said(capsys, "forecast", "--store", store, "--format", "csv")
    told = list(csv.DictReader(io.StringIO(found.out)))
    assert list(told[0]) == ["model", *ROW]
    assert [row["model"] for row in told] == ["ORM 4", "PELL P6", "TARN T18"]


def test_the_table_tells_what_must_be_known_with_it(store: Path, capsys: pytest.CaptureFixture[str]) -> None:
    found = said(capsys, "forecast", "--backtest", "--service", 0.9, "--store", store)
    assert found.code == 0
    for words in (
        "Failures to come in the 90 days after 2025-10-07",
        "Spares for 90 %",
        "All together",
        "Of unknown age, and counted at the constant rate of their model: 4 of PELL P6.",
        "predicts no single drive",
        "2025Q3",
        "Fewer than 30 forecasts tell gross faults only: all together, model by model.",
    ):
        assert words in found.out


def test_without_a_quarter_to_try_it_says_so(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    load([str(put(tmp_path / "a.csv", csv_of(rows("A", range(50), failed="0"))))], tmp_path / "fleet")
    found = said(capsys, "forecast", "--backtest", "--store", tmp_path / "fleet")
    assert "No quarter past to try" in found.out
    told = said(capsys, "forecast", "--backtest", "--store", tmp_path / "fleet", "--format", "json").json
    assert told["backtest"]["calibration"] == {"quarters": None, "models": None}


def test_racks_that_differ_widen_the_forecast(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Six racks of six drives; all 6 failures in one of them: Pearson's index is far above 1."""
    histories = [
        rows(f"{rack}{number}", range(30 if fails else 150), rack=rack, failed={29: "1"} if fails else "0")
        for rack in "ABCDEF"
        for number in range(6)
        for fails in (rack == "A",)
    ]
    load([str(put(tmp_path / "a.csv", csv_of(*histories)))], tmp_path / "fleet")
    wide = said(capsys, "forecast", "--store", tmp_path / "fleet", "--format", "json").json["rows"][0]
    assert wide["dispersion"] > 5
    table = said(capsys, "forecast", "--store", tmp_path / "fleet")
    assert "Widened, since failures spread between batches, racks or sites" in table.out


@pytest.mark.parametrize(
    ("options", "naming"),
    [
        (("--days", 0), ["--days 0", "1 to 3,650"]),
        (("--days", 3651), ["--days 3651", "1 to 3,650"]),
        (("--days", 9.5), ["--days 9.5", "whole number"]),
        (("--service", 95), ["--service 95", "0.95"]),
        (("--service", "nan"), ["--service nan"]),
        (("--model", "TARN"), ["'TARN'", "'ORM 4', 'PELL P6', 'TARN T18'"]),
    ],
)
def test_what_cannot_be_asked_is_refused(
    options: tuple[object, ...], naming: list[str], store: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    refused(capsys, store, "forecast", *options, "--store", store, naming=naming)
