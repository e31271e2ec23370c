"""A test of a length fixed beforehand that accepts up to so many failures, and its exact risks."""

from __future__ import annotations

import math
from dataclasses import dataclass

from reliability.errors import QuestionError
from reliability.poisson import chance_of_at_least, chance_of_at_most, check_count


def check_mtbf(mtbf: float) -> None:
    """Refuse what is no MTBF, with `QuestionError`.

    >>> check_mtbf(0)
    Traceback (most recent call last):
    reliability.errors.QuestionError: An MTBF of 0 is none; give a number above 0.
    """
    if not 0 < mtbf < math.inf:
        raise QuestionError(f"An MTBF of {mtbf} is none; give a number above 0.")


@dataclass(frozen=True, slots=True)
class FixedPlan:
    """Accept if at most so many fail in a test of so long.

    length   test time of all drives together, above 0, in the unit in which MTBFs are given
    at_most  failures with which the drives are still accepted

    The standard plan XII-D of MIL-HDBK-781A: 18.8 times the lower MTBF, 13 failures, the higher one twice it.

    >>> plan = FixedPlan(18.8, 13)
    >>> f"{plan.chance_to_refuse(2):.3f} {plan.chance_to_accept(1):.3f}"  # producer's, consumer's risk
    '0.096 0.106'
    """

    length: float
    at_most: int

    def __post_init__(self) -> None:
        """Refuse what is no plan."""
        check_count(self.at_most)
        if not 0 < self.length < math.inf:
            raise QuestionError(f"A test of length {self.length} is none; give a number above 0.")

    def chance_to_accept(self, mtbf: float) -> float:
        """For drives of this MTBF, above 0, in the unit of the length."""
        check_mtbf(mtbf)
        return chance_of_at_most(self.at_most, self.length / mtbf)

    def chance_to_refuse(self, mtbf: float) -> float:
        """The rest, computed as a tail of its own."""
        check_mtbf(mtbf)
        return chance_of_at_least(self.at_most + 1, self.length / mtbf)
