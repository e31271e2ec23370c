"""How many times as often one group fails as another: exact, or allowing for their ages."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from scipy.special import betainc, betaincinv, ndtr

from reliability.digits import LIMIT_DIGITS, significant
from reliability.errors import QuestionError
from reliability.interval import Interval, check_level
from reliability.normal_deviate import normal_deviate

if TYPE_CHECKING:
    from collections.abc import Sequence

    from reliability.rate import Rate

LEAST_FAILURES = 5  # on each side, for a ratio that allows for age


@dataclass(frozen=True, slots=True)
class Ratio:
    """How many times as often the first group fails as the second.

    value     infinite if only the second had no failure; None if neither had one
    interval  the limits; from 0 to infinity without a failure
    p_value   chance of a ratio as far from 1 if it is 1; below 1 - level exactly when the limits exclude 1.
              None without a failure
    by_age    whether it compares like ages with like
    """

    value: float | None
    interval: Interval
    p_value: float | None
    by_age: bool

    @property
    def excludes_one(self) -> bool:
        """Whether the limits say that the two differ."""
        return not self.interval.contains(1.0)

    def in_words(self, first: str, second: str) -> str:
        """Write who fails how often, if the limits say that they differ; else what the data allow."""
        if self.value is None:
            return "No failures in either, nothing to compare."
        low = significant(self.interval.low, LIMIT_DIGITS)
        if math.isinf(self.interval.high):
            if self.excludes_one:
                return f"{first} fails at least {low} times as often as {second}, which had no failure."
            return f"No difference shown; the data allow {low} times and more, without limit."
        high = significant(self.interval.high, LIMIT_DIGITS)
        if not self.excludes_one:
            return f"No difference shown; the data allow {low} to {high} times."
        return f"{first} fails {significant(self.value)} times as often as {second} ({low}-{high})."


def exact_ratio(first: Rate, second: Rate, *, level: float = 0.95) -> Ratio:
    """Compare two rates exactly, whatever the counts: 0 and 5 failures will do.

    Given how many failed in all, the first group's share of them is binomial with its share of the exposure, times
    the ratio. The limits are those of that share (Clopper & Pearson 1934; Przyborowski & Wilenski 1940), the
    p-value is its smaller tail, doubled, so the two agree. Raises `QuestionError` if one has no exposure.

    >>> from reliability.rate import Rate
    >>> found = exact_ratio(Rate(11, 800), Rate(21, 3011))
    >>> f"{found.value:.4f} ({found.interval.low:.4f}, {found.interval.high:.4f})"
    '1.9715 (0.8584, 4.2773)'
    """
    check_level(level)
    if not (first.drive_days and second.drive_days):
        raise QuestionError(
            "One of the two was never at risk, so there is no ratio; give both at least one drive-day."
        )
    failed = first.failures + second.failures
    if not failed:
        return Ratio(None, Interval(0.0, math.inf, level), None, by_age=False)
    tail, scale = (1 - level) / 2, second.drive_days / first.drive_days
    low = high = 0.0
    if first.failures:
        share = float(betaincinv(first.failures, second.failures + 1, tail))
        low = share / (1 - share) * scale
    if second.failures:  # through the other group's share, which keeps its digits when this one's is near 1
        share = float(betaincinv(second.failures, first.failures + 1, tail))
        high = (1 - share) / share * scale
    else:
        high = math.inf
    share = first.drive_days / (first.drive_days + second.drive_days)
    nearer = min(
        chance_of_share_at_most(first.failures, failed, share),
        chance_of_share_at_least(first.failures, failed, share),
    )
    value = first.failures / second.failures * scale if second.failures else math.inf
    return Ratio(value, Interval(low, high, level), min(1.0, 2 * nearer), by_age=False)


def chance_of_share_at_least(failures: int, failed: int, share: float) -> float:
    """Chance that so many or more of those that failed are of a group, when `share` of them are expected.

    >>> chance_of_share_at_least(2, 2, 0.5)
    0.25
    """
    return float(betainc(failures, failed - failures + 1, share)) if failures else 1.0


def chance_of_share_at_most(failures: int, failed: int, share: float) -> float:
    """Chance that so many or fewer of those that failed are of a group, when `share` of them are expected.

    >>> chance_of_share_at_most(0, 2, 0.5)
    0.25
    """
    return chance_of_share_at_least(failed - failures, failed, 1 - share)


def ratio_by_age(
    first: Sequence[Rate], second: Sequence[Rate], *, level: float = 0.95, least: int = LEAST_FAILURES
) -> Ratio | None:
    """Compare two groups within each band of age, and pool the bands (Mantel-Haenszel).

    first, second  failures and exposure in the same bands of age, in the same order
    least          failures that each side needs in bands where both have exposure
    returns        None if either side has fewer: then only the exact ratio is left, ages not allowed for

    It assumes that the ratio is the same at every age, or asks for its average if it is not. The limits are those of
    the logarithm, with the variance of Greenland & Robins (1985); the p-value is the same normal tail, doubled.

    >>> from reliability.rate import Rate
    >>> young_old = [Rate(10, 36_500), Rate(40, 36_500)], [Rate(50, 365_000), Rate(20, 36_500)]
    >>> found = ratio_by_age(*young_old)
    >>> f"{found.value:.2f} ({found.interval.low:.2f}, {found.interval.high:.2f})"
    '2.00 (1.31, 3.06)'
    """
    check_level(level)
    shared = [(a, b) for a, b in zip(first, second, strict=True) if a.drive_days and b.drive_days]
    if min(sum(a.failures for a, _ in shared), sum(b.failures for _, b in shared)) < max(least, 1):
        return None
    ours = sum(a.failures * b.drive_days / (a.drive_days + b.drive_days) for a, b in shared)
    theirs = sum(b.failures * a.drive_days / (a.drive_days + b.drive_days) for a, b in shared)
    variance = sum(
        (a.failures + b.failures) * a.drive_days * b.drive_days / (a.drive_days + b.drive_days) ** 2
        for a, b in shared
    ) / (ours * theirs)
    error = math.sqrt(variance)
    reach = normal_deviate(level) * error
    value = ours / theirs
    limits = Interval(value * math.exp(-reach), value * math.exp(reach), level)
    return Ratio(value, limits, float(2 * ndtr(-abs(math.log(value)) / error)), by_age=True)
