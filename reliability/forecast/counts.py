"""The distribution of a count that is to come, and what one reads off it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from reliability.interval import Interval, check_level

if TYPE_CHECKING:
    from numpy.typing import NDArray

NEGLIGIBLE = 1e-12  # chance of all larger counts at which a distribution may end


@dataclass(frozen=True, slots=True, eq=False)
class Counts:
    """Chances of the counts 0, 1, 2 and so on; they add up to 1, and none beyond is possible.

    >>> coin = Counts(np.array([0.5, 0.5]))
    >>> (coin + coin).chances.tolist(), (coin + coin).mean, (coin + coin).enough(0.9)
    ([0.25, 0.5, 0.25], 1.0, 2)
    """

    chances: NDArray[np.float64]

    def __post_init__(self) -> None:
        """Keep a copy that nobody can change, with what was cut off or rounded made good."""
        chances = np.array(self.chances, dtype=np.float64)
        chances /= chances.sum()
        chances.flags.writeable = False
        object.__setattr__(self, "chances", chances)

    @property
    def mean(self) -> float:
        """The count on average."""
        return float(self.chances @ np.arange(self.chances.size))

    def at_most(self, count: int) -> float:
        """Chance of so many or fewer; a count may be any whole number."""
        return min(1.0, float(self.chances[: max(count + 1, 0)].sum()))

    def limits(self, level: float = 0.95) -> Interval:
        """Limits, both included; beyond each lies at most half of what `level` leaves."""
        check_level(level)
        tail = (1 - level) / 2
        upto = self.chances.cumsum()
        low = int(np.searchsorted(upto, tail, side="right"))
        return Interval(float(low), float(max(low, self._least(upto, 1 - tail))), level)

    def enough(self, service: float) -> int:
        """Fewest that the count does not exceed, with a chance of at least `service`."""
        check_level(service)
        return self._least(self.chances.cumsum(), service)

    def _least(self, upto: NDArray[np.float64], chance: float) -> int:
        return min(int(np.searchsorted(upto, chance, side="left")), self.chances.size - 1)

    def __add__(self, other: Counts) -> Counts:
        """The sum of two counts that have nothing to do with each other."""
        together = np.convolve(self.chances, other.chances)
        beyond = together[::-1].cumsum()[::-1]
        return Counts(together[: max(1, int(np.sum(beyond > NEGLIGIBLE)))])


NOTHING = Counts(np.array([1.0]))
