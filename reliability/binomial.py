"""Exact limits for the chance of which so many of so many is the outcome."""

from __future__ import annotations

from scipy.special import betaincinv

from reliability.errors import QuestionError
from reliability.interval import Interval, check_level


def clopper_pearson_interval(count: int, of: int, level: float = 0.95) -> Interval:
    """Exact central limits for the chance of each of `of` independent trials, `count` of which came out.

    count  0 or more, at most `of`
    of     1 or more
    level  chance that the limits hold the true chance; each side errs at most by half of the rest

    Of none the lower limit is 0, of all the upper is 1; the other keeps its half of the tail.
    Source: Clopper & Pearson (1934), Biometrika 26, 404-413.

    >>> limits = clopper_pearson_interval(1, 10)
    >>> f"{limits.low:.4f} {limits.high:.4f}"
    '0.0025 0.4450'
    """
    check_level(level)
    if not (0 <= count <= of and of):
        raise QuestionError(f"{count} of {of} is no share; give a count from 0 to the number it is of.")
    tail = (1 - level) / 2
    low = float(betaincinv(count, of - count + 1, tail)) if count else 0.0
    high = 1 - float(betaincinv(of - count, count + 1, tail)) if count < of else 1.0
    return Interval(low, high, level)
