"""How many times as often drives fail in one state as in another, and whether two ways to say so agree."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from reliability.digits import LIMIT_DIGITS, counted, significant
from reliability.interval import Interval
from reliability.normal_deviate import normal_deviate

if TYPE_CHECKING:
    from reliability.rate import Rate

LEAST_FAILURES = 5  # in each state; below it the limits, which are those of a logarithm, are no guide


@dataclass(frozen=True, slots=True)
class HazardRatio:
    """Failures per drive-day in the exposed state over those in the unexposed one, other things equal.

    value     the estimate, above 0 and finite
    interval  limits of the logarithm, carried over
    """

    value: float
    interval: Interval

    def __str__(self) -> str:
        """One line: the estimate and its limits.

        >>> print(HazardRatio(2.0, Interval(1.2, 3.3)))
        2.0 (1.20-3.30)
        """
        low, high = (significant(limit, LIMIT_DIGITS) for limit in (self.interval.low, self.interval.high))
        return f"{significant(self.value)} ({low}-{high})"

    @property
    def side(self) -> int:
        """1 if the limits say that the exposed fail more often, -1 if less often, 0 if they do not say."""
        return (self.interval.low > 1) - (self.interval.high < 1)


@dataclass(frozen=True, slots=True)
class Refused:
    """Why there is no hazard ratio; a sentence."""

    reason: str

    def __str__(self) -> str:
        """Give the reason."""
        return self.reason


def from_logarithm(effect: float, error: float, level: float) -> HazardRatio:
    """Make a hazard ratio of its logarithm and the standard error of that.

    >>> print(from_logarithm(0.0, 0.5, 0.95))
    1.0 (0.375-2.66)
    """
    reach = normal_deviate(level) * error
    return HazardRatio(math.exp(effect), Interval(math.exp(effect - reach), math.exp(effect + reach), level))


def too_few(unexposed: Rate, exposed: Rate) -> Refused | None:
    """Refuse states in which too few failed to compare them at like ages.

    >>> from reliability.rate import Rate
    >>> print(too_few(Rate(40, 365_000), Rate(3, 3650)))
    3 failures exposed and 40 unexposed, of models with drives in both states at known ages; it takes 5 in each.
    """
    if min(unexposed.failures, exposed.failures) >= LEAST_FAILURES:
        return None
    return Refused(
        f"{counted(exposed.failures, 'failure')} exposed and {unexposed.failures:,} unexposed, of models with drives "
        f"in both states at known ages; it takes {LEAST_FAILURES} in each."
    )


def disagree(one: HazardRatio, other: HazardRatio) -> bool:
    """Whether two ways to the same ratio leave a reader with different answers.

    They do if one interval excludes 1 and the other does not, or on the other side, and if an estimate lies
    outside the other's interval.

    >>> disagree(HazardRatio(2.0, Interval(1.1, 3.6)), HazardRatio(1.8, Interval(0.9, 3.6)))
    True
    """
    apart = not (one.interval.contains(other.value) and other.interval.contains(one.value))
    return apart or one.side != other.side
