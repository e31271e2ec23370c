"""How far a rate lies from its best value where the likelihood has fallen by a given amount.

The likelihood of a rate that is s times its best value lies below its maximum, for each failure, by s - 1 - log s.
Lambert's W inverts that too, but scipy takes longer to load than a hundred fits, and close to the best value W keeps
only half its digits.
"""

from __future__ import annotations

import math

_ENOUGH = 1e-8  # of the logarithm, in one step: the next would be beyond its digits
_FLAT = 1e-12  # a fall below which two terms of a series are exact, and the difference in a step is not
_MOST_STEPS = 200  # it takes two to five


def log_ratio(fall: float, side: int) -> float:
    """The logarithm of s, above 0 for side 1 and below 0 for side -1, at which s - 1 - log s is `fall`.

    fall  0 or more; at 0 both sides meet in 0

    Newton's method. With r^2 / 2 for the fall, it begins above 0 at log(1 + r + r^2 / 2), which the root never exceeds,
    and below 0 at -r, where the root were if the fall was a parabola. The fall is convex in log s, so from the second
    step on the method comes to the root from outside and cannot miss it.

    >>> for side in (-1, 1):
    ...     s = math.exp(log_ratio(0.5, side))
    ...     print(f"{s:.6f} {s - 1 - math.log(s):.6f}")
    0.301710 0.500000
    2.357677 0.500000
    """
    root = side * math.sqrt(2 * fall)
    if fall < _FLAT:
        return root - root * root / 6
    here = math.log1p(root + fall) if side > 0 else root
    for _ in range(_MOST_STEPS):
        slope = math.expm1(here)
        step = (slope - here - fall) / slope
        here -= step
        if abs(step) <= _ENOUGH * abs(here):
            break
    return here
