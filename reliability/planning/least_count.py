"""The least count for which something holds that holds for every larger one too."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Callable


def least_count(holds: Callable[[int], bool], start: int = 0) -> int:
    """Find, in steps that double and then halve, the least whole number from `start` on for which it holds.

    holds  true from some number on, and of all above

    >>> least_count(lambda number: number * number >= 1000)
    32
    """
    if holds(start):
        return start
    low, step = start, 1  # at `low` it does not hold
    while not holds(low + step):
        low, step = low + step, 2 * step
    high = low + step
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if holds(middle) else (middle, high)
    return high
