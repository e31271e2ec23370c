"""Where a falling function passes zero: Newton's method, kept between limits that it cannot leave."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Callable

_PRECISION = 1e-11  # of a root, relative
_STRIDE = math.log(8)  # the furthest step, in logarithms, while one side is open
_MOST_STEPS = 200  # bisection alone needs fewer


def falling_root(
    function: Callable[[float], tuple[float, float]], guess: float, low: float = 0.0, high: float = math.inf
) -> float:
    """Root of a function that is above 0 below it and below 0 above it; positive numbers only.

    function   gives its value and its slope in the logarithm of its argument; a slope that is not below 0, or
               too flat, costs time but no correctness
    guess      strictly between the limits
    low, high  the root lies between them; they may be 0 and infinity, and are never tried themselves

    >>> round(falling_root(lambda x: (2 - x, -x), 1.0), 9)
    2.0
    """
    here, last, newton = guess, math.inf, False
    for _ in range(_MOST_STEPS):
        value, slope = function(here)
        if value == 0:
            return here
        low, high = (here, high) if value > 0 else (low, here)
        step = value / -slope if slope < 0 else math.inf
        shrinks = step / last
        # each of Newton's steps shrinks by the square of how the one before it shrank: so far would the next lead
        left = abs(step) * max(abs(step), shrinks * shrinks) if newton else abs(step)
        if left < _PRECISION:
            return here * math.exp(step)
        there = here * math.exp(min(max(step, -_STRIDE), _STRIDE))
        newton = abs(step) < last / 2 and low < there < high
        if not newton:  # too slow, or not to be trusted: halve what is left
            step = _middle(low, high, here)
            there = here * math.exp(step)
        if abs(step) < _PRECISION or not low < there < high:  # nothing is left between the limits
            return there
        here, last = there, abs(step)
    return here


def _middle(low: float, high: float, here: float) -> float:
    """Step, in logarithms, to the middle of the limits, or as far as one may where one of them is open."""
    if low == 0:
        return -_STRIDE
    return _STRIDE if high == math.inf else (math.log(low) + math.log(high)) / 2 - math.log(here)
