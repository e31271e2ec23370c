"""A calendar quarter."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import MAXYEAR, MINYEAR, date

from reliability.errors import QuestionError

_LAST_DAYS = ((3, 31), (6, 30), (9, 30), (12, 31))


@dataclass(frozen=True, order=True, slots=True)
class Quarter:
    """Three calendar months of a year, ordered in time, written `2026Q3`.

    >>> quarter = Quarter.parse("2026Q3")
    >>> str(quarter.first_day), str(quarter.last_day)
    ('2026-07-01', '2026-09-30')
    >>> str(quarter.previous()), str(quarter.next().next())
    ('2026Q2', '2027Q1')
    """

    year: int
    number: int

    def __post_init__(self) -> None:
        """Refuse what is not in the calendar."""
        if not (MINYEAR <= self.year <= MAXYEAR and 1 <= self.number <= len(_LAST_DAYS)):
            raise QuestionError(
                f"Quarter {self.number} of the year {self.year} is not in the calendar; "
                f"a year has quarters 1 to 4, and years go from {MINYEAR} to {MAXYEAR}."
            )

    @classmethod
    def parse(cls, text: str) -> Quarter:
        """Read `2026Q3`; anything else is a `QuestionError`."""
        found = re.fullmatch(r"([0-9]{4})[Qq]([1-4])", text.strip())
        if found is None or int(found[1]) < MINYEAR:
            raise QuestionError(
                f"{text!r} is not a quarter; write the year, Q and a number from 1 to 4, such as 2026Q3."
            )
        return cls(int(found[1]), int(found[2]))

    @classmethod
    def of(cls, day: date) -> Quarter:
        """Find the quarter of a day.

        >>> print(Quarter.of(date(2026, 12, 31)))
        2026Q4
        """
        return cls(day.year, (day.month + 2) // 3)

    @property
    def first_day(self) -> date:
        """The first day of its first month."""
        return date(self.year, 3 * self.number - 2, 1)

    @property
    def last_day(self) -> date:
        """The last day of its third month."""
        month, day = _LAST_DAYS[self.number - 1]
        return date(self.year, month, day)

    @property
    def days(self) -> int:
        """How many days it has.

        >>> Quarter(2026, 1).days, Quarter(2026, 2).days, Quarter(2028, 1).days
        (90, 91, 91)
        """
        return (self.last_day - self.first_day).days + 1

    def next(self) -> Quarter:
        """Return the quarter after it."""
        return self._moved(1)

    def previous(self) -> Quarter:
        """Return the quarter before it."""
        return self._moved(-1)

    def _moved(self, quarters: int) -> Quarter:
        years, index = divmod(self.number - 1 + quarters, len(_LAST_DAYS))
        return Quarter(self.year + years, index + 1)

    def __str__(self) -> str:
        """Write it as `parse` reads it."""
        return f"{self.year:04d}Q{self.number}"
