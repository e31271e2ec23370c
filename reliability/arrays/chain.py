"""Loss of data over the years: failures and rebuilds of an array as a Markov chain.

Its states are the numbers of failed drives, from none to as many as parity covers, and the loss. A further
failure leads one up, a finished rebuild one down. Rebuilds here last an exponential time of the given mean,
which is what makes it a chain.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from reliability.errors import QuestionError
from reliability.units import HOURS_PER_YEAR

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from reliability.arrays.array import Array

    Matrix = NDArray[np.float64]

TERMS = 40  # of the series of a short step: 1/40! is below any digit kept


@dataclass(frozen=True, slots=True)
class Chain:
    """Rates per hour of the ways up and down, for 0, 1, 2, ... failed drives.

    failing     to one failed drive more; from the last state, in which no parity is left: to the loss
    mending     to one failed drive fewer; the first is 0
    unreadable  share of the ways into the last state that lead to the loss instead, as there all depends on
                sectors of which one cannot be read; 0 without parity
    """

    failing: tuple[float, ...]
    mending: tuple[float, ...]
    unreadable: float = 0.0

    def chance_of_loss(self, hours: float) -> float:
        """Chance that data are lost within some hours, 0 or more, from an array without a failed drive.

        All terms are positive, so a chance of 1e-20 keeps its digits.

        >>> f"{Chain((1e-6,), (0.0,)).chance_of_loss(8760):.3e}"  # one drive, no parity
        '8.722e-03'
        """
        if not 0 <= hours < math.inf:
            raise QuestionError(f"A time of {hours} hours is none; give a number, 0 or more.")
        if math.inf in self.failing:
            return 1.0 if hours else 0.0
        fastest = max(up + down for up, down in zip(self.failing, self.mending, strict=True))
        moves = (
            math.log2(fastest) + math.log2(hours) if fastest and hours else 0.0
        )  # of their product, which may
        halvings = max(0, math.ceil(moves))  # be too large for a number
        moved = _short_step(self._rates(math.ldexp(hours, -halvings)))
        for _ in range(halvings):
            moved = moved @ moved
            moved /= moved.sum(axis=1, keepdims=True)  # else the rounding of certainty doubles at each step
        return min(float(moved[0, -1]), 1.0)

    def mean_hours_to_loss(self) -> float:
        """Mean time until data are lost, from an array without a failed drive; infinite if they never are.

        A check of the chain and no figure to show: it is the age of civilisations for an array that lasts ten
        years, and says nothing that a chance within those years does not say better.
        """
        *ups, last_up = self.failing
        total = step = 0.0
        for up, down in zip(ups, self.mending, strict=False):
            step = (
                (1 + down * step) / up if up else math.inf
            )  # mean time from this state to the next, or the loss
            total += step
        ends = last_up + self.mending[-1] * self.unreadable
        if math.isinf(total) or not ends:
            return math.inf
        return total + (1 - self.unreadable) * (1 + self.mending[-1] * step) / ends

    def _rates(self, hours: float) -> Matrix:
        """Mean moves between states within some hours; the last state is the loss, which none leaves."""
        states = len(self.failing)
        rates = np.zeros((states + 1, states + 1))
        for state, (up, down) in enumerate(zip(self.failing, self.mending, strict=True)):
            rates[state, state + 1] = up * hours
            if state:
                rates[state, state - 1] = down * hours
        if states > 1:
            into_last = rates[-3, -2]
            rates[-3, -2], rates[-3, -1] = into_last * (1 - self.unreadable), into_last * self.unreadable
        return rates


def chain_of(  # noqa: PLR0913  (six figures describe an array; four of them go by name)
    drives: int,
    parity: int,
    *,
    failures_per_hour: float,
    rebuild_hours: float,
    unreadable: float = 0.0,
    side_by_side: bool = False,
) -> Chain:
    """The chain of an array.

    failures_per_hour  of each drive, 0 or more
    rebuild_hours      mean time of a rebuild, above 0
    unreadable         chance that a rebuild on which all depends meets a sector that it cannot read; data are then
                       taken to be lost when it begins, so that a slow rebuild does not put off the loss
    side_by_side       whether failed drives are rebuilt at once; else one after the other, which risks more

    >>> mean = chain_of(8, 1, failures_per_hour=1e-6, rebuild_hours=24).mean_hours_to_loss()
    >>> f"{mean:.4e}"
    '7.4432e+08'
    """
    failing = [(drives - failed) * failures_per_hour for failed in range(parity + 1)]
    mending = [(failed if side_by_side else min(failed, 1)) / rebuild_hours for failed in range(parity + 1)]
    return Chain(tuple(failing), tuple(mending), unreadable if parity else 0.0)


def loss_within(array: Array, per_year: float, years: float) -> float:
    """Chance that an array loses data within some years, failed drives being replaced and rebuilt one by one.

    per_year  failures per drive-year of each drive, 0 or more; infinite where a rate has no upper limit
    years     0 or more

    The rate stays the same for all those years, and replacements wait for nothing.

    >>> from reliability.arrays.array import Array
    >>> f"{loss_within(Array(10, 2, 30, 208, 1e-15), 0.01, years=5):.1e}"
    '1.8e-04'
    """
    if not per_year >= 0:
        raise QuestionError(f"{per_year} failures per drive-year is no rate; give a number, 0 or more.")
    if not 0 <= years < math.inf:
        raise QuestionError(f"A time of {years} years is none; give a number, 0 or more.")
    chain = chain_of(
        array.drives,
        array.parity,
        failures_per_hour=per_year / HOURS_PER_YEAR,
        rebuild_hours=array.rebuild_hours,
        unreadable=array.unreadable,
    )
    return chain.chance_of_loss(years * HOURS_PER_YEAR)


def _short_step(rates: Matrix) -> Matrix:
    """The chain's moves in a time in which no state is left more than about once, on average.

    The exponential of a generator, as a series of a matrix without a negative entry (uniformisation).
    """
    leaving = rates.sum(axis=1)
    most = float(leaving.max())
    once = rates + np.diag(most - leaving)  # a move, or none, at the pace of the fastest state
    term = np.eye(len(rates))
    total = term.copy()
    for number in range(1, TERMS):
        term = term @ once / number
        total += term
    moved: Matrix = total * math.exp(-most)
    return moved
