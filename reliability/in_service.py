"""Drives in service on a day, by age: those that a forecast is about."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from reliability.errors import InvalidLife
from reliability.lives import ages_in_days

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray


@dataclass(frozen=True, slots=True, eq=False)
class InService:
    """Counts of drives in service by age; the arrays have one length and cannot be written to.

    age      ages in days, 0 or more, rising
    drives   drives of each age
    unknown  drives in service whose age is not known
    """

    age: NDArray[np.float64]
    drives: NDArray[np.int64]
    unknown: int = 0

    def __post_init__(self) -> None:
        """Keep copies that nobody can change; refuse what no drives are, with `InvalidLife`."""
        for name, kind in (("age", np.float64), ("drives", np.int64)):
            column = np.array(getattr(self, name), dtype=kind)
            column.flags.writeable = False
            object.__setattr__(self, name, column)
        rising = bool(np.isfinite(self.age).all() and (np.diff(self.age) > 0).all())
        if not rising or (self.age < 0).any() or self.age.shape != self.drives.shape:
            raise InvalidLife(
                "Ages of drives in service are finite, 0 or more, rise, and have one count each; mend the ages."
            )
        if (self.drives < 0).any() or not (self.unknown >= 0 and self.unknown % 1 == 0):
            raise InvalidLife(
                "Fewer than 0 drives cannot be in service, nor a part of one; give counts of 0 or more."
            )

    @property
    def total(self) -> int:
        """All drives in service, those of unknown age included."""
        return int(self.drives.sum()) + self.unknown

    def __add__(self, other: InService) -> InService:
        """Both together."""
        age, places = np.unique(np.concatenate((self.age, other.age)), return_inverse=True)
        drives = np.zeros(len(age), np.int64)
        np.add.at(drives, places, np.concatenate((self.drives, other.drives)))
        return InService(age, drives, self.unknown + other.unknown)

    def __str__(self) -> str:
        """One line: how many there are, and how old."""
        told = f"{self.total:,} {'drive' if self.total == 1 else 'drives'} in service"
        if self.age.size:
            youngest, oldest = (f"{age:,.0f}" for age in (self.age[0], self.age[-1]))
            told += f", {youngest} to {oldest} days old" if youngest != oldest else f", {oldest} days old"
        return f"{told}, {self.unknown:,} of unknown age" if self.unknown else told


def in_service(ages: ArrayLike, unknown: int = 0) -> InService:
    """Count drives by age.

    ages     the age of each drive in days, in any order; none is fine
    unknown  further drives whose age is not known
    raises   `InvalidLife` for an age that is negative or not finite, or a count below 0

    >>> print(in_service([400, 30, 400], unknown=2))
    5 drives in service, 30 to 400 days old, 2 of unknown age
    >>> print(in_service([30]) + in_service([30, 400]))
    3 drives in service, 30 to 400 days old
    """
    age, drives = np.unique(ages_in_days(ages), return_counts=True)
    return InService(age, drives, unknown)
