"""Spares on the shelf, when the failures to come are Poisson with a mean that is known."""

from __future__ import annotations

import math

from reliability.errors import QuestionError
from reliability.interval import check_level
from reliability.planning.least_count import least_count
from reliability.poisson import chance_of_at_most


def chance_of_enough(expected: float, spares: int) -> float:
    """Chance that so many spares are enough for the failures until the next delivery.

    expected  failures until then, their mean, 0 or more
    spares    a whole number, 0 or more

    The mean is taken as known. From a rate that was itself observed, more spares are needed.

    >>> round(chance_of_enough(3, 3), 4)
    0.6472
    """
    _check_expected(expected)
    return chance_of_at_most(spares, expected)


def spares_for(expected: float, service: float = 0.95) -> int:
    """Fewest spares that are enough with a chance of `service`, strictly between 0 and 1.

    >>> spares_for(35.04)  # 10,000 drives of 2,500,000 h for a year
    45
    """
    _check_expected(expected)
    check_level(service)
    return least_count(lambda spares: chance_of_at_most(spares, expected) >= service)


def _check_expected(expected: float) -> None:
    if not 0 <= expected < math.inf:
        raise QuestionError(f"{expected} failures cannot be expected; give a number, 0 or more.")
