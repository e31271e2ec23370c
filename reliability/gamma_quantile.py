"""Quantiles of a gamma distribution of whole shape, in plain Python: the means at which a Poisson tail has a chance.

scipy has them too, but takes longer to load than the commonest question, the rates, takes to answer.
"""

from __future__ import annotations

import math
from functools import lru_cache

_ROUNDING = 1e-15
_ENOUGH = 1e-9  # of the value, in one step: with the next the method would square that
_STEPS = 100  # far more than Newton's method takes
_TINY = 1e-300
_KEPT = 4096  # a table of rates asks for the same few counts again and again


@lru_cache(_KEPT)
def below_with_chance(shape: int, chance: float) -> float:
    """The value that a gamma variable of this shape, a whole number from 1, and of scale 1 stays below with a chance.

    The logarithm of the lower tail is concave in that of the value, so Newton's method comes to the root from below
    after its first step, and never leaves the positive numbers.

    >>> round(below_with_chance(4, 0.025), 5)
    1.08987
    """
    if chance in (0, 1):
        return math.inf if chance else 0.0
    value, wanted = float(shape), math.log(chance)
    for _ in range(_STEPS):
        below, _ = _log_tails(shape, value)
        factor = math.exp((wanted - below) * math.exp(below - _log_density(shape, value)))
        value *= factor
        if abs(factor - 1) <= _ENOUGH:
            break
    return value


@lru_cache(_KEPT)
def above_with_chance(shape: int, chance: float) -> float:
    """The value that it exceeds with a chance.

    The logarithm of the upper tail is concave in the value itself, and the method comes to the root from above.

    >>> round(above_with_chance(1, 0.025), 5)
    3.68888
    """
    if chance in (0, 1):
        return 0.0 if chance else math.inf
    value, wanted = float(shape), math.log(chance)
    for _ in range(_STEPS):
        _, above = _log_tails(shape, value)
        step = (above - wanted) * value * math.exp(above - _log_density(shape, value))
        value += step
        if abs(step) <= _ENOUGH * value:
            break
    return value


def _log_tails(shape: int, value: float) -> tuple[float, float]:
    """Logarithms of the chances that a gamma variable is below and above a value, both exact to rounding.

    By the series and the continued fraction of the incomplete gamma function (Abramowitz & Stegun 6.5.29 and 6.5.31).
    """
    density = _log_density(shape, value)
    if value < shape + 1:
        below = density + math.log(_series(shape, value))
        return below, math.log1p(-math.exp(below))
    above = density + math.log(_fraction(shape, value))
    return math.log1p(-math.exp(above)), above


def _log_density(shape: int, value: float) -> float:
    """Logarithm of density times value."""
    return shape * math.log(value) - value - math.lgamma(shape)


def _series(shape: float, value: float) -> float:
    term = total = 1 / shape
    while term > _ROUNDING * total:
        shape += 1
        term *= value / shape
        total += term
    return total


def _fraction(shape: float, value: float) -> float:
    """By the method of Lentz, from the front."""
    b = value + 1 - shape
    c, d = 1 / _TINY, 1 / b
    found, number, change = d, 0, 2.0
    while abs(change - 1) > _ROUNDING:
        number += 1
        a = -number * (number - shape)
        b += 2
        d = 1 / (a * d + b or _TINY)
        c = b + a / c or _TINY
        change = c * d
        found *= change
    return found
