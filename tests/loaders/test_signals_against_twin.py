"""Signals split by the engine, held against a plain count of one drive-day after the other, on dirty fleets."""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING

import pytest
from dirty.health import with_health
from fleets import Size, make_fleet
from numpy.random import default_rng
from slow.exposure import age_band
from slow.signals import COUNTS, Ratings, Told, count_states
from sweep import load_at_once

from reliability.loaders.signals import EXPOSED, SIGNALS, UNEXPOSED, Rating, SignalHistory
from reliability.loaders.store import open_store

if TYPE_CHECKING:
    from collections.abc import Iterable
    from datetime import date
    from pathlib import Path

    from slow.nouns import DayAtRisk, Truth

RATINGS = (Ratings(40.0, 110.0), Ratings(None, 55.0), Ratings(35.0, None))  # of the models, by name
Key = tuple[str, str, str, int | None, str]


def ratings_by_name(models: Iterable[str]) -> dict[str, Ratings]:
    """The ratings under the names shown: a dirty fleet may show its models by an alias."""
    return dict(zip(sorted(models), RATINGS, strict=False))


def in_bands(counts: Counter[Key]) -> Counter[Key]:
    """Ages as the begin of their band."""
    found: Counter[Key] = Counter()
    for (signal, model, state, age, what), number in counts.items():
        band = None if age is None else age_band(age)[0]
        found[signal, model, state, band, what] += number
    return +found


def of_store(histories: Iterable[SignalHistory]) -> Counter[Key]:
    found: Counter[Key] = Counter()
    for history in histories:
        for cell in history.cells:
            key = (history.signal, cell.model, cell.state, cell.age_from_days)
            found[*key, "day"] += cell.drive_days
            found[*key, "failure"] += cell.failures
    return +found


def leads(truth: Truth, signal: str, days: Iterable[DayAtRisk]) -> list[tuple[bool, int]]:
    """Whether each failure of a drive that had told the counter had a warning, and how many days before."""
    found = []
    for failure in (day for day in days if day.failed):
        told = Told(truth.days_of[failure.serial, failure.model])
        if told.states(failure.day, Ratings())[signal] == "not reported":
            continue
        warned = told.warned_on(signal)
        found.append((True, (failure.day - warned).days) if warned and warned < failure.day else (False, 0))
    return sorted(found)


def window_of(truth: Truth, part: str) -> tuple[date | None, date | None]:
    days = sorted({day.day for day in truth.days_at_risk})
    return (None, None) if part == "all" else (days[len(days) // 3], days[3 * len(days) // 4])


@pytest.mark.parametrize("part", ["all", "a window"])
@pytest.mark.parametrize("seed", range(4))
def test_states_are_those_of_a_plain_count(seed: int, part: str, tmp_path: Path) -> None:
    fleet = with_health(default_rng(seed), make_fleet(default_rng(seed), Size(14, 150, 3, 3), period="month"))
    truth = fleet.truth()
    first, last = window_of(truth, part)
    days = [
        day for day in truth.days_at_risk if (not first or first <= day.day) and (not last or day.day <= last)
    ]
    store = open_store(load_at_once(fleet, tmp_path))
    ratings = ratings_by_name(store.models())
    histories = store.signals({m: Rating(*r) for m, r in ratings.items()}, (), first, last)
    assert tuple(history.signal for history in histories) == SIGNALS
    assert of_store(histories) == in_bands(count_states(truth, ratings, days))
    for history in histories:
        assert sum(cell.drive_days for cell in history.cells) == len(days)
        if history.signal in (*COUNTS, "any_error_counter"):
            assert history.warned is not None
            told = sorted((lead is not None, lead or 0) for lead in history.warned.lead_days)
            assert told == leads(truth, history.signal, days), history.signal


@pytest.mark.parametrize("seed", range(4, 6))
def test_counts_by_age_hold_the_same_days_and_failures_as_the_cells(seed: int, tmp_path: Path) -> None:
    fleet = with_health(default_rng(seed), make_fleet(default_rng(seed), Size(14, 150), period="one"))
    store = open_store(load_at_once(fleet, tmp_path))
    some = 0
    for history in store.signals({model: Rating(38.0, 60.0) for model in store.models()}):
        for state in (UNEXPOSED, EXPOSED):
            cells = [c for c in history.cells if c.state == state and c.age_from_days is not None]
            tables = [table for (_, of), table in history.risks.items() if of == state]
            assert sum(t.failures for t in tables) == sum(c.failures for c in cells)
            assert sum(t.drive_days for t in tables) == sum(c.drive_days for c in cells)
            some += len(tables)
    assert some > 20
