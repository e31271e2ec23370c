"""What part of the numbers a figure shows: the ends of a scale, and the round rates written along it.

Limits from little exposure reach very far. A scale that went along would flatten everything else, so it ends
earlier, and the figure says with an arrow that the limits go on.
"""

from __future__ import annotations

import math
import statistics
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Sequence

    from reliability.rate import Rate

FURTHEST = 10  # how many times what was seen or stated a scale goes for the sake of limits alone
FEW = 2  # an estimate from so few failures may leave a scale from zero
MOST_STEPS = 250  # that a small panel can show apart
_MARGIN = 1.2
_ROUNDING = 1e-12
_SLACK = 1e-9  # of a step, within which a value counts as on it


def ratio_scale(
    rates: Sequence[Rate], stated: Sequence[float | None], *, level: float, ratio: float
) -> tuple[float, float]:
    """Choose the ends of a logarithmic scale for rates per drive-year, both above 0.

    Every rate above 0, every stated rate and `ratio` times it lies inside; limits do, as far as `FURTHEST`
    allows.
    Where nothing failed and nothing is stated, the upper limits alone make the scale.
    """
    limits = [rate.interval(level) for rate in rates]
    lows = [each.low for each in limits if each.low > 0]
    highs = [each.high for each in limits if math.isfinite(each.high)]
    seen = [rate.per_year for rate in rates if rate.per_year]
    seen += [times * rate for rate in stated if rate is not None for times in (1, ratio)]
    seen = seen or highs or [0.01]
    low = max(min(lows, default=0.0), min(seen) / FURTHEST)
    high = min(max(highs, default=math.inf), max(seen) * FURTHEST)
    return min(low, *seen) / _MARGIN, max(high, *seen) * _MARGIN


def top_from_zero(rates: Sequence[Rate], stated: float | None, *, level: float, ratio: float) -> float:
    """Choose the upper end of a scale that begins at zero.

    `ratio` times the stated rate lies inside, and so does every estimate from more than `FEW` failures.
    Half of the limits do, unless they are more than `FURTHEST` times the stated rate.
    """
    seen = [rate.per_year for rate in rates if rate.per_year is not None and rate.failures > FEW]
    highs = [rate.interval(level).high for rate in rates if rate.per_year is not None]
    furthest = math.inf if stated is None else FURTHEST * stated
    wide = min(statistics.median_low(highs or [0.0]), furthest)
    return _MARGIN * max(*seen, wide, (stated or 0.0) * ratio, 0.0) or 1.0


def survival_floor(lowest: float) -> float:
    """Choose the lower end of a scale of survival that ends at 1, so that the lowest value shown is on it.

    >>> survival_floor(0.924), survival_floor(0.755), survival_floor(0.378), survival_floor(0.02)
    (0.9, 0.75, 0.25, 0.0)
    """
    missing = [step * size for size in (0.0001, 0.001, 0.01, 0.1) for step in (1, 2, 2.5, 5, 7.5)] + [1.0]
    return round(1 - min(each for each in missing if 1 - each <= lowest + _ROUNDING), 6)


def steps_to_draw(ages: Sequence[float], most: int = MOST_STEPS) -> list[int]:
    """Choose which steps of stairs to draw: all, or of too many the last in each of so many equal stretches.

    What is left out moves a step by less than the width of a line, and no height at all.

    >>> steps_to_draw([1, 2, 5]), steps_to_draw([0, 1, 2, 3, 8, 10], most=2)
    ([0, 1, 2], [3, 5])
    """
    if len(ages) <= most:
        return list(range(len(ages)))
    width = (ages[-1] - ages[0]) / most
    stretch = [min(int((age - ages[0]) / width), most - 1) for age in ages]
    return [place for place, each in enumerate(stretch) if stretch[place + 1 : place + 2] != [each]]


def round_rates(low: float, high: float, *, most: int) -> list[float]:
    """Round rates to write along a logarithmic scale: 1, 2 and 5 of each decade, fewer if these are too many.

    >>> round_rates(0.002, 0.06, most=6)
    [0.002, 0.005, 0.01, 0.02, 0.05]
    >>> round_rates(0.0002, 0.6, most=4)
    [0.001, 0.01, 0.1]
    """
    decades = range(math.floor(math.log10(low)), math.ceil(math.log10(high)) + 1)
    ticks: list[float] = []
    for steps in ((1, 2, 5), (1, 3), (1,)):
        ticks = [float(f"{step}e{decade}") for decade in decades for step in steps]
        ticks = [tick for tick in ticks if low <= tick <= high]
        if len(ticks) <= most:
            break
    return ticks


def round_steps(
    low: float, high: float, *, most: int, sizes: Sequence[float] = (1, 2, 5), least: float = 0.0
) -> list[float]:
    """Round values to write along a linear scale, evenly apart: at most so many stretches.

    sizes  of a stretch, times a power of ten
    least  size of a stretch

    >>> round_steps(0, 0.0371, most=4), round_steps(0.9, 1, most=4, sizes=(1, 2, 2.5, 5))
    ([0.0, 0.01, 0.02, 0.03], [0.9, 0.925, 0.95, 0.975, 1.0])
    >>> round_steps(0, 3.4, most=8, least=1)
    [0.0, 1.0, 2.0, 3.0]
    """
    wanted = max((high - low) / most, least) * (1 - _ROUNDING)
    decade = math.floor(math.log10(wanted))
    step = min(
        size
        for power in (decade, decade + 1)
        for size in (each * 10.0**power for each in sizes)
        if size >= wanted
    )
    first, last = math.ceil(low / step - _SLACK), math.floor(high / step + _SLACK)
    return [float(f"{number * step:.12g}") for number in range(first, last + 1)]
