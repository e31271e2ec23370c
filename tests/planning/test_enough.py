"""When a growing fleet has run so many drive-years: against counting day by day."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from reliability.errors import QuestionError
from reliability.planning.enough import GrowingFleet, Purchase

FIRST = date(2026, 7, 1)
PURCHASES = st.lists(
    st.builds(
        Purchase, st.integers(-30, 200).map(lambda days: FIRST + timedelta(days=days)), st.integers(1, 50)
    ),
    max_size=4,
).map(tuple)


def counted_out(fleet: GrowingFleet, day: date) -> int:
    """Drive-days to the end of a day, by asking each drive on each day."""
    total, today = 0, fleet.since
    while today <= day:
        total += fleet.drives + sum(each.drives for each in fleet.purchases if each.day <= today)
        today += timedelta(days=1)
    return total


@given(drives=st.integers(0, 20), purchases=PURCHASES, days=st.integers(-5, 300))
def test_exposure_is_counted_day_by_day(drives: int, purchases: tuple[Purchase, ...], days: int) -> None:
    fleet = GrowingFleet(drives, FIRST, purchases)
    day = FIRST + timedelta(days=days)
    assert fleet.drive_days_by(day) == counted_out(fleet, day)


@given(drives=st.integers(0, 20), purchases=PURCHASES, drive_days=st.integers(1, 3000))
@example(drives=0, purchases=(Purchase(FIRST + timedelta(days=9), 3),), drive_days=3)
@example(drives=10, purchases=(Purchase(FIRST + timedelta(days=10), 90),), drive_days=100)
def test_the_day_is_the_first_with_enough(
    drives: int, purchases: tuple[Purchase, ...], drive_days: int
) -> None:
    fleet = GrowingFleet(drives, FIRST, purchases)
    day = fleet.day_with(drive_days / 365)
    if day is None:
        assert drives == 0
        assert not purchases
        return
    assert fleet.drive_days_by(day) >= drive_days
    assert day == FIRST or fleet.drive_days_by(day - timedelta(days=1)) < drive_days


def test_edges() -> None:
    assert GrowingFleet(0, FIRST).day_with(0) == FIRST
    assert GrowingFleet(0, FIRST).day_with(1) is None
    assert GrowingFleet(1, FIRST).day_with(99.9) == FIRST + timedelta(
        days=36_463
    )  # 36,463.5 days, the last whole
    assert GrowingFleet(1, FIRST).day_with(101) is None
    assert GrowingFleet(1, FIRST).day_with(1e12) is None
    late = (Purchase(date(9999, 1, 1), 10**6),)
    assert GrowingFleet(0, FIRST, late).day_with(1) is None
    assert GrowingFleet(12, date(2026, 1, 1)).day_with(12) == date(2026, 12, 31)  # a year of twelve drives


def test_what_is_no_fleet_is_refused() -> None:
    with pytest.raises(
        QuestionError, match="A purchase of 0 drives is none; give a whole number of 1 or more"
    ):
        Purchase(FIRST, 0)
    with pytest.raises(QuestionError, match="A fleet of -1 drives is none; give a whole number, 0 or more"):
        GrowingFleet(-1, FIRST)
    with pytest.raises(QuestionError, match=r"-1 drive-years cannot be gathered"):
        GrowingFleet(1, FIRST).day_with(-1)
