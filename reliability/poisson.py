"""Exact limits and tests for a count of failures: any exposure, any count, no approximation.

The count is Poisson. Each tail of that distribution is an incomplete gamma function of its mean, so the mean
at which a tail has a given chance is the inverse of that function; every limit below is one such mean.
"""

from __future__ import annotations

from reliability.errors import QuestionError
from reliability.gamma_quantile import above_with_chance, below_with_chance
from reliability.interval import Interval, check_level


def check_count(failures: int) -> None:
    """Refuse what is no count of failures, with `QuestionError`.

    >>> check_count(-1)
    Traceback (most recent call last):
    reliability.errors.QuestionError: -1 failures cannot be counted; give a whole number, 0 or more.
    """
    if isinstance(failures, bool) or not (failures >= 0 and failures % 1 == 0):  # also not nan, nor infinity
        raise QuestionError(f"{failures} failures cannot be counted; give a whole number, 0 or more.")


def chance_of_at_most(failures: int, expected: float) -> float:
    """Chance of so many failures or fewer, when `expected` is their mean (0 or more).

    >>> round(chance_of_at_most(0, 3.0), 5)
    0.04979
    """
    check_count(failures)
    from scipy.special import gammaincc  # noqa: PLC0415  (rates with their limits need none of it, and it is slow to load)

    return float(gammaincc(failures + 1, expected))


def chance_of_at_least(failures: int, expected: float) -> float:
    """Chance of so many failures or more, when `expected` is their mean (0 or more).

    Computed as a tail of its own, not as 1 minus the other: 3e-56 stays 3e-56.

    >>> chance_of_at_least(0, 3.0)
    1.0
    """
    check_count(failures)
    from scipy.special import gammainc  # noqa: PLC0415  (the same)

    return float(gammainc(failures, expected)) if failures else 1.0


def mean_for_at_most(failures: int, chance: float) -> float:
    """Mean at which so many failures or fewer have this chance; for a larger mean they have less."""
    check_count(failures)
    return above_with_chance(int(failures) + 1, float(chance))


def mean_for_at_least(failures: int, chance: float) -> float:
    """Mean at which so many failures or more have this chance; 0 for no failure, which is certain."""
    check_count(failures)
    return below_with_chance(int(failures), float(chance)) if failures else 0.0


def upper_limit(failures: int, level: float = 0.95) -> float:
    """One-sided upper limit for the mean of a Poisson count, in failures.

    level  chance that the mean lies below the limit, strictly between 0 and 1

    >>> round(upper_limit(0), 3)  # the 3 of the "rule of three" for zero failures
    2.996
    """
    check_level(level)
    return mean_for_at_most(failures, 1 - level)


def lower_limit(failures: int, level: float = 0.95) -> float:
    """One-sided lower limit for the mean of a Poisson count, in failures; 0 without a failure."""
    check_level(level)
    return mean_for_at_least(failures, 1 - level)


def garwood_interval(failures: int, level: float = 0.95) -> Interval:
    """Exact central limits for the mean of a Poisson count, in failures; divide by an exposure for a rate.

    failures  observed count, a whole number, 0 or more
    level     chance that the limits hold the mean, strictly between 0 and 1; each side errs at most
              by half of the rest

    Without a failure the lower limit is 0; the upper keeps its half of the tail, so it is 3.69 and not 3.00.
    Source: Garwood (1936), Biometrika 28, 437-442. Proof: at a limit the tail is 2.5 %.

    >>> limits = garwood_interval(4)
    >>> f"{chance_of_at_least(4, limits.low):.1%} {chance_of_at_most(4, limits.high):.1%}"
    '2.5% 2.5%'
    """
    check_level(level)
    tail = (1 - level) / 2
    return Interval(mean_for_at_least(failures, tail), mean_for_at_most(failures, tail), level)


def doubled_p_value(failures: int, expected: float) -> float:
    """Chance of a count at least as far from `expected` on its side, doubled for the other side, at most 1.

    It inverts `garwood_interval`: below 1 - level exactly when those limits exclude `expected`.
    Nothing expected and nothing failed: 1.

    >>> round(doubled_p_value(4, 10.0), 4)
    0.0585
    """
    nearer = min(chance_of_at_most(failures, expected), chance_of_at_least(failures, expected))
    return min(1.0, 2 * nearer)
