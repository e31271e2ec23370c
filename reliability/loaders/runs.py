"""Rows that follow each other and belong together: the first, the last and the highest of each run of them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Flags = NDArray[np.bool_]
    Places = NDArray[np.int64]
    Numbers = NDArray[np.signedinteger[Any]]
    Values = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Runs:
    """Where runs begin, and how many rows there are in all. Of rows is asked by flags; None: all of them."""

    starts: Places
    rows: int

    @classmethod
    def of(cls, numbers: Numbers) -> Runs:
        """The runs of equal numbers."""
        turns = np.flatnonzero(numbers[1:] != numbers[:-1]) + 1
        return cls(np.concatenate((np.zeros(min(1, len(numbers)), np.int64), turns)), len(numbers))

    @property
    def ends(self) -> Places:
        """Where runs end: the place behind the last row of each."""
        return np.append(self.starts[1:], self.rows)

    @property
    def lengths(self) -> Places:
        """How many rows each run has."""
        return self.ends - self.starts

    def first(self, flags: Flags | None = None) -> Places:
        """The place of the first row of each run that has the flag; -1 where none has."""
        if flags is None:
            return self.starts
        flagged = np.append(np.flatnonzero(flags), self.rows)
        places = flagged[np.searchsorted(flagged, self.starts)]
        return np.where(places < self.ends, places, -1)

    def last(self, flags: Flags | None = None) -> Places:
        """The place of the last row of each run that has the flag; -1 where none has."""
        if flags is None:
            return self.ends - 1
        flagged = np.append(-1, np.flatnonzero(flags))
        places = flagged[np.searchsorted(flagged, self.ends) - 1]
        return np.where(places >= self.starts, places, -1)

    def highest(self, values: Values, flags: Flags | None = None) -> Values:
        """The highest value of each run among the rows with the flag; minus infinity where none has it."""
        flagged = values if flags is None else np.where(flags, values, -np.inf)
        found: Values = np.maximum.reduceat(flagged, self.starts)
        return found

    def sum(self, values: Values, flags: Flags | None = None) -> Values:
        """The sum of each run over the rows with the flag."""
        found: Values = np.add.reduceat(values if flags is None else np.where(flags, values, 0), self.starts)
        return found

    def count(self, flags: Flags | None = None) -> Places:
        """How many rows of each run have the flag."""
        if flags is None:
            return self.lengths
        found: Places = np.add.reduceat(flags, self.starts, dtype=np.int64)
        return found

    def spread(self, values: Values) -> Values:
        """One value a run, given to each of its rows."""
        return np.repeat(values, self.lengths)
