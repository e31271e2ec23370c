"""How many of several drives fail, each with a chance of its own: the Poisson-binomial tail."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from reliability.units import HOURS_PER_YEAR

if TYPE_CHECKING:
    from collections.abc import Sequence


def chance_within(per_year: float, hours: float) -> float:
    """Chance that a drive fails within some hours, from its rate per drive-year; both 0 or more.

    >>> f"{chance_within(0.01, 40):.3e}"
    '4.566e-05'
    """
    return -math.expm1(-per_year * hours / HOURS_PER_YEAR)


def chance_of_at_least(count: int, chances: Sequence[float]) -> float:
    """Chance that `count` drives or more fail, independently of each other.

    count    0 or more; of more than there are drives: 0
    chances  of each drive, between 0 and 1

    A sum of positive terms, drive by drive: nothing cancels, so 1e-20 keeps its digits.

    >>> f"{chance_of_at_least(2, [1e-9, 2e-9, 3e-9]):.3e}"
    '1.100e-17'
    """
    if count <= 0:
        return 1.0
    exactly = [1.0] + [0.0] * (count - 1)  # 0, 1, ... failures among the drives so far
    reached = 0.0
    for chance in chances:
        reached += chance * exactly[-1]
        for number in range(count - 1, 0, -1):
            exactly[number] = exactly[number] * (1 - chance) + exactly[number - 1] * chance
        exactly[0] *= 1 - chance
    return min(reached, 1.0)
