"""Failures to come in further exposure at the rate that gave those seen, whatever that rate is: exact limits.

Given the total of past and future failures, the future ones are binomial with the share of the exposure that is
to come; the rate drops out. Limits that put the estimated rate in place of the true one are too narrow.
"""

from __future__ import annotations

import math

from scipy.special import betainc

from reliability.errors import QuestionError
from reliability.interval import Interval, check_level
from reliability.planning.least_count import least_count
from reliability.poisson import check_count


def prediction_interval(failures: int, exposure: float, further: float, level: float = 0.95) -> Interval:
    """Limits, both included, for the failures in further exposure; whole numbers.

    failures  seen so far
    exposure  in which they were seen, above 0
    further   exposure to come, in the same unit, 0 or more: without any, 0 to 0
    level     chance, at least, that the limits hold the count; each side errs at most by half of the rest

    Source: the conditional binomial method, Nelson (1970); Hahn & Meeker, Statistical Intervals, chapter 7.

    >>> limits = prediction_interval(24, exposure=5, further=1)
    >>> limits.low, limits.high
    (1.0, 10.0)
    """
    check_level(level)
    tail = (1 - level) / 2
    share = _share_to_come(failures, exposure, further)
    low = least_count(lambda coming: _chance_of_at_most(coming, failures, share) > tail)
    return Interval(float(low), float(_upper(failures, share, tail)), level)


def upper_prediction(failures: int, exposure: float, further: float, level: float = 0.95) -> int:
    """Count that the failures in further exposure do not exceed, one-sided; arguments as above.

    >>> upper_prediction(0, exposure=100, further=100)
    4
    """
    check_level(level)
    return _upper(failures, _share_to_come(failures, exposure, further), 1 - level)


def _upper(failures: int, share: float, tail: float) -> int:
    """The largest count with a chance above `tail` to be reached or passed."""
    too_many = least_count(lambda coming: _chance_of_at_least(coming, failures, share) <= tail, start=1)
    return too_many - 1


def _chance_of_at_least(coming: int, failures: int, share: float) -> float:
    """Of so many to come or more, given that they and those seen are all there are; at least 1 to come."""
    return float(betainc(coming, failures + 1, share))


def _chance_of_at_most(coming: int, failures: int, share: float) -> float:
    """The other tail; without a failure so far it is certain."""
    return float(betainc(failures, coming + 1, 1 - share)) if failures else 1.0


def _share_to_come(failures: int, exposure: float, further: float) -> float:
    check_count(failures)
    if not 0 < exposure < math.inf:
        raise QuestionError(
            f"Nothing can be predicted from an exposure of {exposure}; give a number above 0."
        )
    if not 0 <= further < math.inf:
        raise QuestionError(f"An exposure to come of {further} is none; give a number, 0 or more.")
    return further / (exposure + further)
