"""A pair of limits, and how surely they hold."""

from __future__ import annotations

from dataclasses import dataclass

from reliability.errors import QuestionError


def check_level(level: float) -> None:
    """Refuse a level that is no chance strictly between 0 and 1, with `QuestionError`.

    >>> check_level(95)
    Traceback (most recent call last):
    reliability.errors.QuestionError: A level of 95 is not strictly between 0 and 1; write 0.95 for 95 %.
    """
    if not 0 < level < 1:
        raise QuestionError(f"A level of {level} is not strictly between 0 and 1; write 0.95 for 95 %.")


@dataclass(frozen=True, slots=True)
class Interval:
    """Two limits, both included.

    low, high  in the unit of what they enclose; `high` may be infinite
    level      chance that the limits hold the truth, strictly between 0 and 1
    """

    low: float
    high: float
    level: float = 0.95

    def __post_init__(self) -> None:
        """Refuse limits in the wrong order, and a level that is no chance."""
        check_level(self.level)
        if not self.low <= self.high:  # also not if one is nan
            raise QuestionError(
                f"An interval from {self.low} to {self.high} has no inside; give the lower limit first."
            )

    def __truediv__(self, exposure: float) -> Interval:
        """Limits per unit of exposure; without exposure nothing is known: (0, infinity).

        >>> Interval(1.0, 4.0) / 2
        Interval(low=0.5, high=2.0, level=0.95)
        >>> Interval(0.0, 3.7) / 0
        Interval(low=0.0, high=inf, level=0.95)
        """
        if exposure == 0:
            return Interval(0.0, float("inf"), self.level)
        return Interval(self.low / exposure, self.high / exposure, self.level)

    def contains(self, value: float) -> bool:
        """Whether the value lies between the limits or on one of them."""
        return self.low <= value <= self.high
