"""Exposure that shows, by few failures or none, that a rate is kept: the demonstration test.

A test of this kind passes if at most a planned number of drives fail in a planned exposure, which is chosen so
that drives at the rate to be shown, or above it, pass with a chance of 1 - level at most.
"""

from __future__ import annotations

import math

from reliability.errors import QuestionError
from reliability.planning.least_count import least_count
from reliability.poisson import chance_of_at_most, upper_limit


def check_rate(per_year: float) -> None:
    """Refuse what is no rate to plan for, with `QuestionError`.

    >>> check_rate(0)
    Traceback (most recent call last):
    reliability.errors.QuestionError: 0 failures per drive-year is no rate to plan for; give a number above 0.
    """
    if not 0 < per_year < math.inf:
        raise QuestionError(
            f"{per_year} failures per drive-year is no rate to plan for; give a number above 0."
        )


def length_factor(failures: int, level: float = 0.95) -> float:
    """Length of a demonstration test in multiples of the MTBF to be shown.

    failures  allowed in it
    level     chance with which drives of just that MTBF do not pass, strictly between 0 and 1

    The same number is the failures expected in the test from such drives. It is the one-sided upper limit of
    the count allowed. Source: NIST/SEMATECH e-Handbook of Statistical Methods, 8.3.1.1.

    >>> f"{length_factor(0):.3f} {length_factor(1):.3f}"
    '2.996 4.744'
    """
    return upper_limit(failures, level)


def drive_years_to_demonstrate(per_year: float, failures: int = 0, level: float = 0.95) -> float:
    """Drive-years in which so few failures show, one-sided, that a rate is at most `per_year`.

    >>> round(drive_years_to_demonstrate(0.0035)), round(drive_years_to_demonstrate(0.0035, failures=1))
    (856, 1355)
    """
    check_rate(per_year)
    return length_factor(failures, level) / per_year


def failures_allowed(per_year: float, drive_years: float, level: float = 0.95) -> int | None:
    """Most failures in an exposure that still show that a rate is at most `per_year`; None if not even 0 do.

    >>> failures_allowed(0.0035, 856), failures_allowed(0.0035, 855), failures_allowed(0.0035, 1356)
    (0, None, 1)
    """
    check_rate(per_year)
    expected = per_year * drive_years
    too_many = least_count(lambda failures: chance_of_at_most(failures, expected) > 1 - level)
    return too_many - 1 if too_many else None
