"""How far a normal distribution reaches to both sides with a given chance: the 1.96 of 95 %."""

from __future__ import annotations

from statistics import NormalDist


def normal_deviate(level: float) -> float:
    """Standard deviations from the mean within which a normal variable lies with this chance.

    level  strictly between 0 and 1; taken from the tail, so that also levels close to 1 keep their digits

    >>> round(normal_deviate(0.95), 6)
    1.959964
    """
    return -NormalDist().inv_cdf((1 - level) / 2)
