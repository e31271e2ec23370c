"""Profile-likelihood limits of a Weibull fit: of its shape, its scale and every other quantile.

A value is within the limits if some pair of parameters that has it comes within `drop` of the largest
log-likelihood. All such pairs (k, a), as in `likelihood`, make up one region: shapes between two limits, and for
each of them a up to a highest and down to a lowest value. So the limits of a shape are two roots, and those of a
quantile the largest and the smallest on the rim of the region, where its logarithm is (log q - a) / k.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import partial
from typing import TYPE_CHECKING

import numpy as np

from reliability.survival.fall import log_ratio
from reliability.survival.root import falling_root

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from reliability.survival.likelihood import Likelihood, Sums

_TRIED = 9  # shapes at which the rim is looked at before the best of them is refined
_WIDE = 3.0  # limits of the shape so many times apart are wide, and the rim may wind
_TRIED_IF_WIDE = 33
_NARROW = 1e-3  # lowest shape looked at where none is too low, as a part of the fitted one
_NONE = math.log(1e6)  # of an age over the oldest seen, or the other way: a limit further off is none
_LARGEST = 700.0  # logarithm that a number of days can have


@dataclass(frozen=True, slots=True)
class Region:
    """The parameters that come within `drop` of the largest log-likelihood.

    best       the fitted shape
    sums       those of the likelihood at it
    highest    the largest log-likelihood
    low, high  limits of the shape; `low` is None if none is too low
    tried      shapes between them, rising
    lowest_a   the lowest a at each of these, on the rim, where ages are largest
    highest_a  the highest
    """

    likelihood: Likelihood
    best: float
    sums: Sums
    highest: float
    drop: float
    low: float | None
    high: float
    tried: NDArray[np.float64]
    lowest_a: NDArray[np.float64]
    highest_a: NDArray[np.float64]


def region(likelihood: Likelihood, best: float, drop: float) -> Region:
    """Find the region around a fit with shape `best`."""
    sums = likelihood.sums(best)
    highest = likelihood.profile(best, sums)
    width = (
        math.sqrt(-2 * drop / likelihood.score(best, sums)[1]) / best
    )  # of the log shape, were it a parabola
    at_0 = likelihood.profile_at_0
    open_below = at_0 is not None and at_0 >= highest - drop

    def limit(side: int) -> float:
        between = (best, math.inf) if side > 0 else (0.0, best)
        within = partial(_within, likelihood, highest, drop, side)
        return falling_root(within, best * math.exp(side * width), *between)

    low, high = None if open_below else limit(-1), limit(1)
    tried = _spread(low or _NARROW * best, high)
    rims = _rims(likelihood, tried, highest - drop)
    return Region(likelihood, best, sums, highest, drop, low, high, tried, *rims)


def _rims(
    likelihood: Likelihood, shapes: NDArray[np.float64], level: float
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """The lowest and the highest a at each shape at which the log-likelihood is at a level: as in `_rim`."""
    d, values = likelihood.failures, likelihood.values(shapes)
    profile = (
        d * np.log(shapes * d / values)
        + (shapes - 1) * likelihood.log_sum
        - d
        - d * math.log(likelihood.oldest)
    )
    best = np.log(d / values)
    left = (np.maximum(profile - level, 0.0) / d).tolist()
    lowest, highest = (best + [log_ratio(fall, side) for fall in left] for side in (-1, 1))
    return lowest, highest


def _spread(low: float, high: float) -> NDArray[np.float64]:
    """Shapes between two, rising, closer to each other towards both, where the rim turns fastest."""
    count = _TRIED if high < _WIDE * low else _TRIED_IF_WIDE
    along = (1 - np.cos(np.pi * np.arange(1, count + 1) / (count + 1))) / 2
    shapes: NDArray[np.float64] = low * (high / low) ** along
    return shapes


def _within(likelihood: Likelihood, highest: float, drop: float, side: int, k: float) -> tuple[float, float]:
    """Whether a shape is within its limit on one side, by the root of what its profile has lost; with slope.

    The root is close to linear in the logarithm of the shape, so that Newton's method needs few steps.
    """
    sums = likelihood.sums(k)
    lost = math.sqrt(max(2 * (highest - likelihood.profile(k, sums)), 0.0))
    slope = k * likelihood.score(k, sums)[0] / lost if lost else 0.0
    return side * (math.sqrt(2 * drop) - lost), side * slope


def quantile_limits(region: Region, share: float) -> tuple[float | None, float | None]:
    """Limits of the age by which a share of the drives fails; None where there is none.

    share  strictly between 0 and 1; 1 - 1/e for the scale

    An upper limit over a million times the oldest age seen, or a lower one under a millionth of it, is none.
    """
    log_q = math.log(-math.log1p(-share))
    low = None if region.low is None else _rim_limit(region, log_q, -1)
    return low, _rim_limit(region, log_q, 1)


def _rim_limit(region: Region, log_q: float, side: int) -> float | None:
    """Largest (side 1) or smallest (side -1) quantile on the rim, in days.

    Upwards there is one best shape, as the quantiles above a value are a convex set. Downwards there could be
    several, so the rim is looked at in several places first.
    """
    shapes = (region.low or 0.0, *region.tried.tolist(), region.high)
    rim = region.lowest_a if side > 0 else region.highest_a
    ages = [-math.inf, *(side * (log_q - rim) / region.tried).tolist(), -math.inf]

    def steepness(k: float) -> tuple[float, float]:
        _, value, slope = _rim(region, log_q, side, k, region.likelihood.sums(k))
        return -side * value, -side * slope

    def furthest(place: int) -> float:
        k = falling_root(steepness, shapes[place], shapes[place - 1], shapes[place + 1])
        return _rim(region, log_q, side, k, region.likelihood.sums(k))[0]

    tops = (at for at in range(1, len(ages) - 1) if ages[at - 1] < ages[at] >= ages[at + 1])
    log_age = side * max(side * furthest(top) for top in tops)
    if side * log_age > _NONE:
        return None
    return region.likelihood.oldest * math.exp(min(max(log_age, -_LARGEST), _LARGEST))


def _rim(region: Region, log_q: float, side: int, k: float, sums: Sums) -> tuple[float, float, float]:
    """Logarithm of the quantile on the rim at a shape, and the condition that it is the furthest.

    side     1 for the lowest a, where ages are largest, -1 for the highest
    returns  the logarithm of the age over the oldest; what is 0 where that is furthest (minus k times its
             slope in k); and the slope of this in log k

    For given k the log-likelihood falls from its profile by d (s - 1 - log s), if e^a is s times its best
    value d / S. On the rim that fall is what the profile leaves.
    """
    d = region.likelihood.failures
    left = max(region.likelihood.profile(k, sums) - region.highest + region.drop, 0.0) / d
    log_s = log_ratio(left, -side)
    log_age = (log_q - math.log(d / sums.value) - log_s) / k
    rate = d * math.exp(log_s) / sums.value
    in_a = -d * math.expm1(log_s)
    in_k = d / k + region.likelihood.log_sum - rate * sums.slope
    if in_a == 0:  # at the ends of the shapes the rim runs straight up or down
        return log_age, math.copysign(math.inf, -side * in_k), 0.0
    turn = -in_k / in_a
    bend = (d / k**2 + rate * (sums.bend + 2 * sums.slope * turn + sums.value * turn**2)) / in_a
    return log_age, turn + log_age, k * bend - (turn + log_age)
