"""The calendar of the demonstration: days counted from 0, and when a site was silent."""

from __future__ import annotations

from datetime import date, timedelta
from functools import cache

FIRST_DATE = date(2024, 1, 1)
LAST_DATE = date(2026, 9, 30)  # the last day of a quarter, so that 2026Q3 is whole


def number(year: int, month: int, day: int) -> int:
    """Return the number of a day; the fleet's first day is 0."""
    return (date(year, month, day) - FIRST_DATE).days


LAST = (LAST_DATE - FIRST_DATE).days

POWER_CUT = range(number(2024, 8, 11), number(2024, 8, 12))  # no drive of any site reports
FLOOD = range(number(2025, 1, 14), number(2025, 1, 21))  # the collector at mill-loft is off for a week
FERRY_SILENT = range(number(2026, 7, 11), LAST + 1)  # ferry-hut no longer sends anything
MOVE = number(2025, 3, 10)  # rack M2 of mill-loft is carried to pier-house

OUTAGES = {
    "pier-house": (POWER_CUT,),
    "mill-loft": (POWER_CUT, FLOOD),
    "lantern-hill": (POWER_CUT,),
    "ferry-hut": (POWER_CUT, FERRY_SILENT),
    "": (POWER_CUT,),
}


@cache
def date_of(day: int) -> date:
    """Return the date of a numbered day."""
    return FIRST_DATE + timedelta(days=day)


@cache
def month_of(day: int) -> str:
    """Return the month of a numbered day, as 2026-09."""
    return f"{date_of(day):%Y-%m}"


@cache
def quarter_of(day: int) -> str:
    """Return the quarter of a numbered day, as 2026Q3."""
    then = date_of(day)
    return f"{then.year}Q{(then.month + 2) // 3}"


def is_silent(site: str, day: int) -> bool:
    """Tell whether nothing was collected at a site on a day."""
    return any(day in outage for outage in OUTAGES[site])


def next_open(site: str, day: int) -> int:
    """Return the first day from `day` on which the site was collected."""
    for outage in OUTAGES[site]:
        if day in outage and outage.stop <= LAST:
            return outage.stop
    return day
