"""Counts by age as if the data ended with a day, held against plain counting over the lives."""

from __future__ import annotations

from collections import Counter
from datetime import date, timedelta
from typing import TYPE_CHECKING, Any

import pytest
from tiny_stores import FIRST, csv_of, day, loaded, put, rows, table

from reliability.loaders.store import Store, open_store

if TYPE_CHECKING:
    from collections.abc import Iterable
    from pathlib import Path

    from reliability.risk_table import RiskTable

LAST = 100
AGES = {"F": 5, "R": 40, "V": 300, "I": 0, "L": 7, "S": 12}  # age in days on the first day of each drive
SEEN: dict[str, Iterable[int]] = {
    "F": range(21),  # fails on day 20
    "R": range(31),  # stands in the log as retired
    "V": range(41),  # vanishes
    "I": [*range(11), *range(60, LAST + 1)],  # is interrupted, and comes back as another life
    "L": range(50, LAST + 1),  # comes late
    "S": range(LAST + 1),
}


@pytest.fixture
def folder(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Path:
    histories = [
        row | {"power_on_hours": str(24 * (AGES[serial] + number))}
        for serial, days in SEEN.items()
        for number in days
        for row in rows(serial, [number], failed="1" if (serial, number) == ("F", 20) else "0")
    ]
    nobody_knows = rows("U", range(LAST + 1), failed="0")
    source = put(tmp_path / "all.csv", csv_of(histories, nobody_knows))
    log = put(tmp_path / "log.csv", f"serial,date,outcome\nR,{day(31)},retired\n")
    loaded(capsys, tmp_path / "fleet", source, "--removals", log)
    return tmp_path / "fleet"


def counted(lives: list[dict[str, Any]], last_day: date) -> dict[str, dict[int, int]]:
    """Count one life after the other: what the store does with a query."""
    counts: dict[str, Counter[int]] = {}
    for life in lives:
        if life["entry_age_days"] is None or life["first_day"] > last_day:
            continue
        end = min(life["last_day"], last_day)
        outcome = life["outcome"] if life["last_day"] <= last_day else "in service"
        kind = outcome if outcome in {"failed", "retired", "vanished"} else "left"
        counts.setdefault("entered", Counter())[life["entry_age_days"]] += 1
        counts.setdefault(kind, Counter())[life["entry_age_days"] + (end - life["first_day"]).days + 1] += 1
    return {kind: dict(by_age) for kind, by_age in counts.items()}


def told(table_: RiskTable) -> dict[str, dict[int, int]]:
    kinds = ("entered", "failed", "retired", "vanished", "left")
    columns = {
        kind: dict(zip(table_.age.tolist(), getattr(table_, kind).tolist(), strict=True)) for kind in kinds
    }
    found = {kind: {age: n for age, n in by_age.items() if n} for kind, by_age in columns.items()}
    return {kind: by_age for kind, by_age in found.items() if by_age}


@pytest.mark.parametrize("number", [0, 9, 10, 19, 20, 30, 31, 40, 49, 50, 75, LAST, LAST + 50])
def test_counts_up_to_a_day_are_those_of_the_lives_cut_there(folder: Path, number: int) -> None:
    last_day = FIRST + timedelta(days=number)
    found = told(open_store(folder).risk_table(last_day=last_day))
    assert found == counted(table(folder, "lives"), last_day)
    assert found  # lives had begun on the first day


def test_without_a_day_they_are_those_of_all_lives(folder: Path) -> None:
    store = open_store(folder)
    found = told(store.risk_table())
    assert found == counted(table(folder, "lives"), date.max)
    assert {kind: sum(by_age.values()) for kind, by_age in found.items()} == {
        "entered": 7,
        "failed": 1,
        "retired": 1,
        "vanished": 1,
        "left": 4,
    }


def test_exposure_and_failures_are_those_of_the_rates_up_to_that_day(folder: Path) -> None:
    store = open_store(folder)
    for number in (20, 35, 99):
        assert_agrees(store, FIRST + timedelta(days=number))


def assert_agrees(store: Store, last_day: date) -> None:
    cells = store.exposure(("age",), last_day=last_day).cells
    found = store.risk_table(last_day=last_day)
    assert found.drive_days == sum(cell.drive_days for cell in cells)
    assert found.failures == sum(cell.failures for cell in cells) == 1


def test_before_the_first_day_there_is_no_life(folder: Path) -> None:
    assert open_store(folder).risk_table(last_day=FIRST - timedelta(days=1)).lives == 0


def test_every_model_at_once_is_each_by_itself(folder: Path) -> None:
    store = open_store(folder)
    tables = store.risk_tables(last_day=FIRST + timedelta(days=60))
    assert list(tables) == list(store.models())
    for model, found in tables.items():
        assert told(found) == told(store.risk_table(model, last_day=FIRST + timedelta(days=60)))
