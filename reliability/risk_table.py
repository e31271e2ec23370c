"""Lives reduced to counts by age: all that survival curves, hazards and fits need of them.

What a million lives say about failure by age is how many entered, failed and left at each age. It is enough
for Kaplan-Meier, Nelson-Aalen, Aalen-Johansen, hazards by age band, the log-rank test and the Weibull
likelihood, which with late entry is a sum over failures, less one over exits, plus one over entries.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from reliability.errors import InvalidLife
from reliability.lives import checked_lives

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray

_ENDS = ("failed", "retired", "vanished")


@dataclass(frozen=True, slots=True, eq=False)
class RiskTable:
    """Counts of lives by age; the arrays have one length and cannot be written to.

    age       ages in days at which a life began or ended, rising; whole numbers, or fractions if exact
    entered   lives that began at this age; they are at risk after it, not at it
    failed    lives that ended at this age in a failure
    retired   lives that ended at it in a planned retirement
    vanished  lives that ended at it unseen
    left      lives that ended at it otherwise: interrupted by a gap, or still in service
    exact     whether ages are as given from outside; else they are known to the day, and a failure was
              somewhere in the day that ends at its age
    """

    age: NDArray[np.int64] | NDArray[np.float64]
    entered: NDArray[np.int64]
    failed: NDArray[np.int64]
    retired: NDArray[np.int64]
    vanished: NDArray[np.int64]
    left: NDArray[np.int64]
    exact: bool

    def __post_init__(self) -> None:
        """Keep copies that nobody can change; refuse counts that no lives have, with `InvalidLife`."""
        for name in ("age", "entered", *_ENDS, "left"):
            column = np.array(getattr(self, name), dtype=None if name == "age" else np.int64)
            column.flags.writeable = False
            object.__setattr__(self, name, column)
        if not np.isfinite(self.age).all() or (self.age < 0).any():
            raise InvalidLife("The ages of a risk table are finite days, 0 or more; mend the ages.")
        counts = (self.entered, self.failed, self.retired, self.vanished, self.left)
        if any(count.shape != self.age.shape or (count < 0).any() for count in counts):
            raise InvalidLife(
                "A risk table has one count, 0 or more, of each kind for every age; mend the counts."
            )
        if (self.age[1:] <= self.age[:-1]).any():
            raise InvalidLife(
                "The ages of a risk table rise, each named once; sort them and add up what is equal."
            )
        if (self.at_risk < self.exits).any() or self.entered.sum() != self.exits.sum():
            raise InvalidLife(
                "Each life in a risk table enters before it ends, and ends once; mend the counts."
            )

    @property
    def exits(self) -> NDArray[np.int64]:
        """Lives that ended at each age, however they did."""
        return self.failed + self.retired + self.vanished + self.left

    @property
    def at_risk(self) -> NDArray[np.int64]:
        """Lives at risk at each age t, entry < t <= exit: those that end at t are, those that enter not."""
        gained: NDArray[np.int64] = self.entered - self.exits
        return gained.cumsum() - gained

    @property
    def lives(self) -> int:
        """Lives that the table was made from."""
        return int(self.entered.sum())

    @property
    def failures(self) -> int:
        """Lives that ended in a failure."""
        return int(self.failed.sum())

    @property
    def drive_days(self) -> float:
        """Exposure: ages at exit less ages at entry, over all lives."""
        return float(self.age @ (self.exits - self.entered))


def risk_table(
    entry: ArrayLike,
    exit: ArrayLike,  # noqa: A002  (the word of the field; the builtin is not needed here)
    outcome: ArrayLike,
    serials: ArrayLike | None = None,
    *,
    exact: bool = True,
) -> RiskTable:
    """Count lives by age.

    entry, exit  ages in days, 0 <= entry < exit
    outcome      failed, retired, vanished, interrupted or in service, for each life
    serials      what a message calls the lives; else they are rows
    exact        False if an exit is the end of the day of which no hour is known, as in daily snapshots
    raises       `InvalidLife`, which names the lives that cannot be: entry not before exit, negative, missing

    Ages are whole numbers if all of them are, else fractions. No lives: a table without ages.

    >>> table = risk_table([0, 0, 30], [40, 50, 50], ["failed", "in service", "failed"])
    >>> table.age.tolist(), table.at_risk.tolist(), table.failed.tolist()
    ([0, 30, 40, 50], [0, 2, 3, 2], [0, 0, 1, 1])
    >>> table.drive_days
    110.0
    """
    entries, exits, outcomes = checked_lives(entry, exit, outcome, serials)
    age, place = np.unique(np.concatenate((entries, exits)), return_inverse=True)
    ends = place[entries.size :]

    def counted(places: NDArray[np.intp]) -> NDArray[np.int64]:
        return np.bincount(places, minlength=age.size)

    failed, retired, vanished = (counted(ends[outcomes == end]) for end in _ENDS)
    return RiskTable(
        age=age.astype(np.int64) if (age == np.floor(age)).all() else age,
        entered=counted(place[: entries.size]),
        failed=failed,
        retired=retired,
        vanished=vanished,
        left=counted(ends[~np.isin(outcomes, _ENDS)]),
        exact=exact,
    )


def risk_tables_by_day(
    place: NDArray[np.int32],
    entry: NDArray[np.int32],
    exit: NDArray[np.int32],  # noqa: A002  (the same)
    ending: NDArray[np.int32],
    places: int,
) -> tuple[RiskTable, ...]:
    """Count many lives by age, in one table for each place, where ages are whole days and known to be in order.

    place        of each life, the table that it belongs to: 0 up to `places` - 1
    entry, exit  ages in whole days, 0 <= entry < exit
    ending       1 failed, 2 retired, 3 vanished, 0 otherwise

    A million lives take a few hundredths of a second: every age that occurs has a cell, and nothing is sorted.
    """
    width = int(exit.max(initial=0)) + 1
    row = place.astype(np.int64) * width
    began = np.bincount(row + entry, minlength=places * width).reshape(places, width)
    cells = ending.astype(np.int64) * (places * width) + row + exit
    ended = np.bincount(cells, minlength=(len(_ENDS) + 1) * places * width).reshape(-1, places, width)
    return tuple(_from_cells(began[at], ended[:, at]) for at in range(places))


def _from_cells(began: NDArray[np.int64], ended: NDArray[np.int64]) -> RiskTable:
    """Keep the ages at which a life began or ended."""
    age = np.flatnonzero(began + ended.sum(axis=0))
    left, failed, retired, vanished = ended[:, age]
    return RiskTable(age, began[age], failed, retired, vanished, left, exact=False)
