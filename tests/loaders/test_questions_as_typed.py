"""What people at a keyboard have at hand for a day, a grouping or a model is understood, or refused with a reason."""

from __future__ import annotations

from datetime import UTC, date, datetime
from typing import TYPE_CHECKING, Any

import pandas as pd
import pytest
from tiny_stores import csv_of, day, put, rows

import reliability as rel

if TYPE_CHECKING:
    from collections.abc import Callable

LAST = date.fromisoformat(day(12))
DAYS = {
    "a text": day(12),
    "a moment": datetime(LAST.year, LAST.month, LAST.day, 23, 59, tzinfo=UTC),
    "a moment of pandas": pd.Timestamp(day(12)),
}
QUESTIONS: dict[str, Callable[[rel.Store, Any], object]] = {
    "rates": lambda store, last: [cell.rate for cell in store.rates(last_day=last).cells],
    "rates from": lambda store, first: [cell.rate for cell in store.rates(first_day=first).cells],
    "outcomes": lambda store, last: store.outcomes(last),
    "retirements": lambda store, last: store.retirements(last_day=last),
    "risk_table": lambda store, last: store.risk_table("PELL P12", last).age.tolist(),
    "risk_tables": lambda store, last: [t.age.tolist() for t in store.risk_tables(last).values()],
    "signals": lambda store, last: store.signals(last_day=last),
    "standing": lambda store, last: [
        (each.drives.total, each.failed) for each in store.standing(last).values()
    ],
    "failed by": lambda store, last: [each.failed for each in store.standing(day(5), last).values()],
    "in_service": lambda store, last: store.in_service("TARN T18", last).total,
}


@pytest.fixture(scope="module")
def store(tmp_path_factory: pytest.TempPathFactory) -> rel.Store:
    """Twelve days on which two models report, one of whose drives fails in the end, one is retired; and eight more."""
    folder = tmp_path_factory.mktemp("typed")
    histories = (
        rows("A", range(20), power_on_hours="", failed={19: "1"}),
        rows("B", range(11), failed={10: "1"}),
        rows("C", range(20), model="PELL P12", power_on_hours={0: "240"}),
        rows("E", range(9)),
        rows("D", range(15, 20), model="PELL P12", power_on_hours={15: "48"}),
    )
    log = put(folder / "log.csv", f"serial,date,outcome\nE,{day(9)},retired\n")
    rel.load(put(folder / "a.csv", csv_of(*histories)), folder / "fleet", removals=log)
    return rel.open_store(folder / "fleet")


@pytest.mark.parametrize("question", QUESTIONS)
@pytest.mark.parametrize("kind", DAYS)
def test_a_day_is_the_same_however_it_is_given(question: str, kind: str, store: rel.Store) -> None:
    ask = QUESTIONS[question]
    assert ask(store, DAYS[kind]) == ask(store, LAST)


@pytest.mark.parametrize("question", QUESTIONS)
@pytest.mark.parametrize("given", ["2025-02-30", "soon", 2025, 4.5, pd.NaT])
def test_what_is_no_day_is_refused(question: str, given: object, store: rel.Store) -> None:
    with pytest.raises(rel.DriveyearsError, match=r"is no day of the calendar; give a date, or write '2026"):
        QUESTIONS[question](store, given)


def test_the_days_of_this_store_make_a_difference(store: rel.Store) -> None:
    for name, ask in QUESTIONS.items():
        assert ask(store, LAST) != ask(store, date.fromisoformat(day(3))), name


def test_one_grouping_needs_no_list(store: rel.Store) -> None:
    for name in ("model", "quarter", "age", "site"):
        assert store.rates(name) == store.rates((name,)) == store.rates([name])
    with pytest.raises(rel.DriveyearsError, match="There is no grouping 'make'; group by any of model, "):
        store.rates("make")


def test_a_window_that_holds_no_day_is_refused_by_all_that_take_one(store: rel.Store) -> None:
    for ask in (store.rates, store.retirements, store.signals):
        with pytest.raises(rel.DriveyearsError, match="holds no day; give a first day that is not after"):
            ask(first_day=day(5), last_day=day(4))


def test_without_a_model_all_drives_are_in_service(store: rel.Store) -> None:
    every = store.in_service()
    apart = [store.in_service(model) for model in store.models()]
    assert every.total == sum(each.total for each in apart) == 2
    assert every.age.tolist() == sorted(age for each in apart for age in each.age.tolist())
    assert every.unknown == sum(each.unknown for each in apart)
