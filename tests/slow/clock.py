"""The age at entry (rule 4) and faults of the power-on hours (rules 5 and 12)."""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import date

    from slow.nouns import DriveDay

MODULI = (2**14, 2**15, 2**16, 2**17)  # hours at which a counter may wrap


class Reading(NamedTuple):
    """Valid power-on hours, and the day on which they were read."""

    day: date
    hours: float


@dataclass(frozen=True, slots=True)
class Clock:
    """The age of a drive: at the start of its first day, raised to 0; `short` if it was below -3 before."""

    start: date
    entry_age: int
    short: bool
    read_on: date

    def age_at_start_of(self, day: date) -> int:
        """Count on from the entry by calendar days: all lives of a drive share this clock."""
        return self.entry_age + (day - self.start).days


def readings(days: Sequence[DriveDay]) -> list[Reading]:
    """List the valid hours, the highest of each day, in day order."""
    return [Reading(day.day, day.hours) for day in days if day.hours is not None]


def clock(days: Sequence[DriveDay]) -> Clock | None:
    """Start the clock from the first valid hours; None: the age is unknown (rule 4)."""
    valid = readings(days)
    if not valid:
        return None
    first, start = valid[0], days[0].day
    age = math.ceil(first.hours / 24 - 0.02) - 1 - (first.day - start).days
    return Clock(start, max(0, age), age < -3, first.day)


def points(days: Sequence[DriveDay]) -> list[Reading]:
    """Give each month's first, highest (earliest) and last valid hours, in day order, once each."""
    months: dict[tuple[int, int], list[Reading]] = {}
    for reading in readings(days):
        months.setdefault((reading.day.year, reading.day.month), []).append(reading)
    found: list[Reading] = []
    for month in sorted(months):
        of_month = months[month]
        highest = min(of_month, key=lambda reading: (-reading.hours, reading.day))
        found += sorted({of_month[0], highest, of_month[-1]})
    return found


def fault_between(earlier: Reading, later: Reading) -> str | None:
    """Judge the step from one point to the next (rule 5)."""
    step = later.hours - earlier.hours
    if step < -48:
        wrapped = any(
            abs(earlier.hours - modulus) <= 0.05 * modulus and later.hours <= 0.05 * modulus
            for modulus in MODULI
        )
        return "hours_wrapped" if wrapped else "hours_backwards"
    return "hours_jump" if step > 24 * (later.day - earlier.day).days + 72 else None


def faults(days: Sequence[DriveDay]) -> list[tuple[str, date]]:
    """List each fault of the hours with the day of the later reading."""
    steps = points(days)
    judged = [(fault_between(one, other), other.day) for one, other in itertools.pairwise(steps)]
    return [(fault, day) for fault, day in judged if fault is not None]
