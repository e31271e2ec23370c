"""Failures to come at one rate for all drives, whatever their age."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np
from scipy.special import gammainccinv, gammaincinv, ndtr

from reliability.forecast.binomials import mixed_binomials
from reliability.interval import Interval
from reliability.planning.prediction import prediction_interval

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from reliability.forecast.counts import Counts
    from reliability.rate import Rate

PRIOR = 0.5  # failures before the first: the rate has the distribution Gamma(failures + 1/2, exposure)
_FURTHEST, _STEP = 6.5, 0.025  # standard deviations of a normal variable, along which the rate is followed


def constant_counts(rate: Rate, drives: int, days: float, dispersion: float = 1.0) -> Counts:
    """The count of failures among so many drives within some days.

    rate        failures and exposure so far, some exposure
    dispersion  1, or how much more than Poisson failures spread between batches: the log of the rate spreads by
                the root of it more

    The rate has the distribution Gamma(failures + 1/2, exposure); given the rate each drive fails or does not, at
    most once. Where few of them fail that is the negative binomial distribution.

    >>> from reliability.rate import Rate
    >>> few = constant_counts(Rate(0, 36_500), drives=400, days=90)
    >>> round(few.mean, 2), few.enough(0.95)
    (0.49, 2)
    """
    per_day, weights = _rates((rate.failures + PRIOR) / dispersion, rate.drive_days / dispersion)
    return mixed_binomials(-np.expm1(-per_day * days)[:, np.newaxis], np.array([drives]), weights)


def _rates(shape: float, past: float) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Rates a day that follow Gamma(shape, past), with their weights.

    They lie at the quantiles of equally spaced normal deviates, along which sums of smooth functions are as good as
    integrals.
    """
    deviate = np.arange(-_FURTHEST, _FURTHEST + _STEP / 2, _STEP)
    tail = ndtr(-np.abs(deviate))  # the smaller one, which keeps its digits
    rates = np.where(deviate < 0, gammaincinv(shape, tail), gammainccinv(shape, tail)) / past
    return rates, np.exp(-(deviate**2) / 2)


def days_to_come(rate: Rate, drives: int, days: float) -> float:
    """Drive-days that so many drives run within some days, until they fail; on average over the rate.

    Below drives x days, since a drive that failed runs no more: by little unless a good part of them fails.
    """
    shape, past = rate.failures + PRIOR, rate.drive_days
    return drives * past / shape * -math.expm1(-shape * math.log1p(days / past))


def constant_limits(
    rate: Rate, drives: int, days: float, level: float = 0.95, dispersion: float = 1.0
) -> Interval:
    """Exact limits of that count, given the failures so far; the rate drops out (`prediction_interval`).

    Of failures that spread more than Poisson, the wider of these limits and those of the count, at each end.
    """
    exact = prediction_interval(rate.failures, rate.drive_days, days_to_come(rate, drives, days), level)
    low, high = min(exact.low, drives), min(exact.high, drives)
    if dispersion > 1:
        spread = constant_counts(rate, drives, days, dispersion).limits(level)
        low, high = min(low, spread.low), max(high, spread.high)
    return Interval(float(low), float(high), level)
