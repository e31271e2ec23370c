"""Coverage without chance: the chance of each count, summed over the counts for which limits hold the truth."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np
from scipy.special import ndtri
from scipy.stats import poisson

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from reliability.interval import Interval

Z = float(ndtri(0.975))


def counts(mean: float) -> Iterator[tuple[int, float]]:
    """Every count that a Poisson mean can bring about, with its chance; what is left out is below 1e-12."""
    most = math.ceil(mean + 9 * math.sqrt(mean) + 15)
    chances = poisson.pmf(np.arange(most + 1), mean).tolist()
    yield from enumerate(chances)


def chance(mean: float, right: Callable[[int], bool]) -> float:
    """Chance that something is right of the count."""
    return sum(likely for count, likely in counts(mean) if right(count))


def chance_of_two(first: float, second: float, right: Callable[[int, int], bool]) -> float:
    """Chance that something is right of two independent counts."""
    others = list(counts(second))
    return sum(p * q for one, p in counts(first) for other, q in others if right(one, other))


def holds(limits: Interval, truth: float) -> bool:
    """Whether limits hold the truth, rounding allowed for."""
    return limits.low <= truth * (1 + 1e-12) and truth <= limits.high * (1 + 1e-12)


def wald(count: int, reach: float = Z) -> tuple[float, float]:
    """The usual shortcut: the count and so many of its square roots. Without a failure: 0 to 0."""
    return count - reach * math.sqrt(count), count + reach * math.sqrt(count)
