"""The measurements run, all of them, on a fleet too small to say anything about speed: no time is held to here."""

from __future__ import annotations

import json
import shutil
from typing import TYPE_CHECKING

import pyarrow as pa
import pytest

from benchmarks import __main__, large_fleet, long_run, speed_page
from benchmarks.cases import CASES
from benchmarks.fleet import Plan, drives_of, each_day, months, snapshots
from benchmarks.measure import PYTHON, Run, in_turns, run
from benchmarks.place import TINY
from benchmarks.result import Goal

if TYPE_CHECKING:
    from pathlib import Path

SIDES = ("ours_s", "ours_mb", "peer_mb")  # of memory there is no peer's time


@pytest.fixture(scope="module")
def measured(tmp_path_factory: pytest.TempPathFactory) -> tuple[int, list[dict[str, object]]]:
    folder = tmp_path_factory.mktemp("measured")
    with pytest.MonkeyPatch.context() as patch:
        told: list[str] = []
        patch.setattr("builtins.print", lambda text, **_: told.append(text))
        code = __main__.main(["--size", "tiny", "--format", "json", "--folder", str(folder)])
    return code, json.loads(told[-1])["cases"]


def test_every_case_reports_what_was_measured(measured: tuple[int, list[dict[str, object]]]) -> None:
    code, cases = measured
    assert code == 0, [case for case in cases if case["note"]]
    assert {case["case"] for case in cases} == set(CASES)
    for case in cases:
        if case["ratio"] is None:
            assert str(case["note"]).startswith("not measured: Rscript is missing")
            assert shutil.which("Rscript") is None
        else:
            assert all(case[name] is not None for name in SIDES)
            assert "differ" not in str(case["note"])


def test_programs_are_measured_by_themselves() -> None:
    small, large = in_turns(
        1, lambda: run(PYTHON, "-c", "pass"), lambda: run(PYTHON, "-c", "x = b'x' * 100_000_000")
    )
    assert small.megabytes < 40
    assert 90 < large.megabytes - small.megabytes < 120
    waited = run(PYTHON, "-c", "import time; time.sleep(0.3); print('{\"seconds\": 0.2}')")
    assert waited.seconds >= 0.3
    assert waited.step_seconds == 0.2


def test_a_program_that_fails_ends_the_measurement() -> None:
    with pytest.raises(RuntimeError, match="no such thing"):
        run(PYTHON, "-c", "raise SystemExit('no such thing')")


def test_the_fleet_is_what_the_plan_says() -> None:
    plan = Plan(drives=500, days=90, dirty=0.01)
    tables = [snapshots(plan, drives_of(plan), days) for _, days in months(plan)]
    rows = sum(table.num_rows for table in tables)
    assert len(tables[0].column_names) == 14
    assert 0.5 * 500 * 90 < rows < 500 * 90
    assert tables[-1]["date"][-1].as_py() == str(plan.last_day)
    spoiled = sum(table["power_on_hours"].to_pylist().count("n/a") for table in tables)
    assert 0.002 * rows < spoiled < 0.01 * rows
    clean = Plan(drives=500, days=90)
    failures = [
        snapshots(clean, drives_of(clean), days)["failed"].to_numpy().sum() for _, days in months(clean)
    ]
    assert (
        sum(failures)
        == ((drives := drives_of(clean)).fails & (drives.last < 90) & (drives.installed < 90)).sum()
    )


def test_goals_and_breakage_are_told_apart() -> None:
    goal = Goal(1, "load", "bare", 1.25, wide=10)
    assert goal.of_programs(Run(1.2, 1), Run(1.0, 1)).holds is True
    slow = goal.of_programs(Run(3.0, 1), Run(1.0, 1))
    assert slow.holds is False
    assert not slow.broken
    assert goal.of_programs(Run(11.0, 1), Run(1.0, 1)).broken
    assert goal.not_measured("nothing there").holds is None
    assert Goal(1, "load", "bare").of_programs(Run(3.0, 1), Run(1.0, 1)).holds is None


def test_a_section_of_the_page_is_replaced(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    page = tmp_path / "speed.md"
    page.write_text(
        "top\n<!-- measured -->\nof yesterday\n<!-- end of measured -->\nbottom\n", encoding="utf-8"
    )
    monkeypatch.setattr(speed_page, "PAGE", page)
    result = Goal(1, "load", "bare", 1.25).of_programs(Run(1.0, 90), Run(2.0, 80))
    speed_page.write_measured([result], TINY)
    text = page.read_text(encoding="utf-8")
    assert "| 1 | load | bare | 0.5 | 1.25 | yes | 1.00 | 2.00 | 90 | 80 |" in text
    assert text.startswith("top\n")
    assert text.endswith("bottom\n")
    assert "yesterday" not in text


def test_a_long_run_tells_each_size_that_it_reaches(tmp_path: Path) -> None:
    plan = Plan(drives=60, days=40)
    small, large = long_run.long_run(plan, [0.0001, 0.001], tmp_path)
    assert 100 <= small.rows < 1000 <= large.rows
    assert (small.months, large.months) == (1, 2)
    assert large.per_row == 1e6 * large.seconds / large.rows
    assert not list((tmp_path / "month").iterdir())
    head, _, *rows, _, figure = long_run.lines([small, large])
    assert head.count("|") == rows[0].count("|") == rows[1].count("|")
    assert figure.endswith("(speed.svg)")
    long_run.draw([small, large], tmp_path / "drawn.svg")
    assert "million rows in the store" in (tmp_path / "drawn.svg").read_text(encoding="utf-8")


def test_a_large_fleet_is_loaded_in_files_and_memory_of_each_kind(tmp_path: Path) -> None:
    told = list(large_fleet.cells(60, 40, tmp_path))
    assert [row[:2] for row in told] == [
        (files, memory) for files in large_fleet.FILES for memory in large_fleet.MEMORY
    ]
    by_month, by_day = (len(list((tmp_path / files).iterdir())) for files in large_fleet.FILES)
    assert by_month < by_day == 40
    assert all(float(row[-1].replace(",", "")) > 50 for row in told)
    assert all(len(row) == len(large_fleet.HEADINGS) for row in told)


def test_a_file_a_day_holds_the_fleet_of_a_file_a_month() -> None:
    plan = Plan(drives=200, days=40)
    drives = drives_of(plan)
    by_month, by_day = (
        pa.concat_tables(snapshots(plan, drives, days) for _, days in periods(plan))
        for periods in (months, each_day)
    )
    drawn = {"temperature_c"}  # by chance, on each day
    kept = [name for name in by_month.column_names if name not in drawn]
    assert by_month.select(kept) == by_day.select(kept)
