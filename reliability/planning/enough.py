"""The day on which drives at hand, and those that are to come, will have run so many drive-years.

Failures and retirements are neglected: each drive that leaves is taken to be replaced on the same day. Without
that, the exposure of a fleet that loses the share p of its drives a year falls short by about p times half the
years that it takes.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import date, timedelta

from reliability.errors import QuestionError
from reliability.units import DAYS_PER_YEAR

HORIZON_YEARS = 100  # further away nothing can be planned
_ROUNDING = 1e-9  # of a day


@dataclass(frozen=True, slots=True)
class Purchase:
    """So many drives, a whole number of 1 or more, that run from a day on."""

    day: date
    drives: int

    def __post_init__(self) -> None:
        """Refuse what is no purchase."""
        if not (self.drives >= 1 and self.drives % 1 == 0):
            raise QuestionError(
                f"A purchase of {self.drives} drives is none; give a whole number of 1 or more."
            )


@dataclass(frozen=True, slots=True)
class GrowingFleet:
    """Drives that run from a day on, and those that join them; a day counts whole.

    drives     at hand, a whole number of 0 or more
    since      the first day that is counted
    purchases  in any order; one before that day counts from that day on

    >>> fleet = GrowingFleet(10, date(2026, 1, 1), (Purchase(date(2026, 1, 11), 90),))
    >>> fleet.drive_days_by(date(2026, 1, 11))  # ten days of ten drives, and one of a hundred
    200
    >>> fleet.day_with(200 / 365), fleet.day_with(201 / 365)
    (datetime.date(2026, 1, 11), datetime.date(2026, 1, 12))
    """

    drives: int
    since: date
    purchases: tuple[Purchase, ...] = ()

    def __post_init__(self) -> None:
        """Refuse what is no fleet."""
        if not (self.drives >= 0 and self.drives % 1 == 0):
            raise QuestionError(f"A fleet of {self.drives} drives is none; give a whole number, 0 or more.")

    def drive_days_by(self, day: date) -> int:
        """Exposure from the first day that is counted to the end of a day; 0 before."""
        joined = [(self.since, self.drives), *self._joining()]
        return sum(drives * max(0, (day - start).days + 1) for start, drives in joined)

    def day_with(self, drive_years: float) -> date | None:
        """The day at whose end the exposure reaches so much, 0 or more; None if it does not within 100 years.

        An exposure of 0 is there on the first day that is counted.
        """
        if not drive_years >= 0:
            raise QuestionError(f"{drive_years} drive-years cannot be gathered; give a number, 0 or more.")
        left, running, start = drive_years * DAYS_PER_YEAR, self.drives, self.since
        for day, drives in self._joining():
            gathered = running * (day - start).days
            if gathered + _ROUNDING >= left:
                break
            left, running, start = left - gathered, running + drives, day
        if not running and left > 0:
            return None
        days = max(0, math.ceil(left / running - _ROUNDING) - 1) if left > 0 else 0
        so_far = (start - self.since).days
        if so_far + days > HORIZON_YEARS * DAYS_PER_YEAR:
            return None
        return start + timedelta(days=days)

    def _joining(self) -> list[tuple[date, int]]:
        """Purchases in the order of the days on which they begin to count."""
        return sorted((max(each.day, self.since), each.drives) for each in self.purchases)
