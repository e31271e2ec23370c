"""A sequential test that is cut off, and its exact operating characteristic.

Between two lines the test goes on; it ends at the latest with its last failure or at its longest time. Failures
come as a Poisson stream. The chance of each number of failures, the test still going on, is carried from one
corner of the plan to the next; between two corners the numbers that may still go on do not change, so a Poisson
step is exact there.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING, NamedTuple

import numpy as np
from scipy.special import gammainc, gammaln

from reliability.errors import QuestionError
from reliability.planning.fixed_length import check_mtbf

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from reliability.planning.wald import WaldLines

    Chances = NDArray[np.float64]


class Operating(NamedTuple):
    """What a plan does with drives of some MTBF."""

    accepted: float  # chance
    refused: float  # chance, counted on its own
    mean_length: float  # test time until the end, in multiples of the lower MTBF


@dataclass(frozen=True, slots=True)
class SequentialPlan:
    """Wald's lines, cut off.

    lines          in multiples of the lower MTBF, as all times here
    last_failure   with which the drives are refused, whenever it comes; 1 or more
    longest        test time at which they are accepted, if the test still goes on; above 0

    >>> from reliability.planning.wald import wald_lines
    >>> plan = SequentialPlan(wald_lines(2, 0.1, 0.1), last_failure=16, longest=20.6)
    >>> f"{plan.operating(1).accepted:.3f} {plan.operating(2).accepted:.3f}"
    '0.143 0.912'
    """

    lines: WaldLines
    last_failure: int
    longest: float

    def __post_init__(self) -> None:
        """Refuse what is no plan."""
        if not (self.last_failure >= 1 and self.last_failure % 1 == 0 and 0 < self.longest < math.inf):
            raise QuestionError(
                f"A test cut off at {self.last_failure} failures and at {self.longest} times the lower MTBF "
                "is none; give a whole number of 1 or more and a time above 0."
            )

    def operating(self, mtbf: float) -> Operating:
        """What becomes of drives of this MTBF, above 0, in multiples of the lower one."""
        check_mtbf(mtbf)
        accept, refuse = self.accept_times(), self.refuse_times()
        corners = sorted({0.0, *accept, *(time for time in refuse if 0 < time < self.longest)})
        going = np.zeros(self.last_failure)  # chance of each number of failures, the test still going on
        going[0] = 1.0
        accepted = refused = length = 0.0
        for since, until in pairwise(corners):
            least_refused = int(np.argmax(refuse > since))  # the last failure's time lies beyond every corner
            alive, step = going[:least_refused], (until - since) / mtbf
            length += mtbf * _mean_time(alive, step)
            refused += float(alive @ gammainc(_room(alive), step))
            going[:least_refused] = np.convolve(alive, _poisson(least_refused, step))[:least_refused]
            ends = accept == until
            accepted += float(going[ends].sum())
            going[ends] = 0.0
        return Operating(accepted, refused, length)

    def accept_times(self) -> Chances:
        """When the test ends well with 0, 1, 2, ... failures, up to one before the last."""
        rising = self.lines.to_accept + self.lines.slope * np.arange(self.last_failure)
        times: Chances = np.minimum(rising, self.longest)
        return times

    def refuse_times(self) -> Chances:
        """Up to when 0, 1, 2, ... failures end it badly, 0 or less: they never do; the last one always does."""
        rising = self.lines.slope * np.arange(self.last_failure + 1) - self.lines.to_refuse
        rising[-1] = self.longest
        times: Chances = np.minimum(rising, self.longest)
        return times


def _room(alive: Chances) -> Chances:
    """How many failures more refuse the drives, for each number of failures so far."""
    return np.arange(len(alive), 0.0, -1.0)


def _mean_time(alive: Chances, step: float) -> float:
    """Mean time that the test goes on within a step; both in mean times between failures."""
    each = gammainc(np.arange(1.0, len(alive) + 1), step)  # mean time with 0, 1, 2, ... failures more
    return float(alive @ np.cumsum(each)[::-1])


def _poisson(count: int, mean: float) -> Chances:
    """Chances of 0, 1, 2, ... failures; `mean` above 0."""
    failures = np.arange(count)
    chances: Chances = np.exp(failures * math.log(mean) - mean - gammaln(failures + 1.0))
    return chances
