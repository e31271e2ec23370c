"""Failures to come, against scipy's binomial and by how often the limits hold."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import binom, poisson

from reliability.errors import QuestionError
from reliability.planning.prediction import prediction_interval, upper_prediction

COUNTS = st.integers(0, 200)
EXPOSURES = st.floats(0.1, 1000)


@given(COUNTS, EXPOSURES, EXPOSURES, st.floats(0.5, 0.99))
def test_the_limits_are_the_outermost_counts_that_are_not_too_rare(
    failures: int, exposure: float, further: float, level: float
) -> None:
    limits, share, tail = (
        prediction_interval(failures, exposure, further, level),
        further / (exposure + further),
        (1 - level) / 2,
    )
    low, high = int(limits.low), int(limits.high)
    assert 0 <= low <= high
    if high:
        assert binom.sf(high - 1, failures + high, share) > tail * (1 - 1e-6)
    assert binom.sf(high, failures + high + 1, share) <= tail * (1 + 1e-6)
    assert binom.cdf(low, failures + low, share) > tail * (1 - 1e-6)
    if low:
        assert binom.cdf(low - 1, failures + low - 1, share) <= tail * (1 + 1e-6)


@given(COUNTS, EXPOSURES, EXPOSURES, st.floats(1.1, 3))
def test_more_to_come_never_lowers_the_limits(
    failures: int, exposure: float, further: float, times: float
) -> None:
    less, more = (prediction_interval(failures, exposure, each) for each in (further, times * further))
    assert less.low <= more.low
    assert less.high <= more.high


def holds(mean: float, further: float, limits: dict[int, tuple[float, float]]) -> float:
    """Chance that limits made from one count hold the next, over all counts of both, exactly."""
    return float(
        sum(
            poisson.pmf(seen, mean)
            * (poisson.cdf(high, mean * further) - poisson.cdf(low - 1, mean * further))
            for seen, (low, high) in limits.items()
        )
    )


@pytest.mark.parametrize("further", [0.25, 1.0, 3.0])
@pytest.mark.parametrize("mean", [0.5, 3.0, 12.0, 40.0])
def test_they_hold_as_often_as_said_and_plug_in_limits_do_not(mean: float, further: float) -> None:
    """The negative control puts the estimated rate in place of the true one."""
    seen = range(int(mean + 12 * math.sqrt(mean) + 10))
    found = {x: prediction_interval(x, 1, further) for x in seen}
    assert holds(mean, further, {x: (i.low, i.high) for x, i in found.items()}) >= 0.95 - 1e-6
    if further >= 1:
        means = {x: max(x, 1e-9) * further for x in seen}
        plug_in = {x: (float(poisson.ppf(0.025, m)), float(poisson.ppf(0.975, m))) for x, m in means.items()}
        assert holds(mean, further, plug_in) < 0.93


def test_nothing_seen_and_nothing_to_come() -> None:
    assert prediction_interval(0, 10, 0).high == 0
    assert prediction_interval(5, 10, 0).high == 0
    assert upper_prediction(0, 100, 100) == 4  # the largest y with 2^-y > 0.05


def test_a_large_count_comes_near_the_normal_limits() -> None:
    """Of 10^6 seen, in as much exposure again: 10^6 plus and minus 1.96 times the root of twice that."""
    limits = prediction_interval(10**6, 1, 1)
    reach = 1.96 * np.sqrt(2e6)
    assert limits.low == pytest.approx(10**6 - reach, rel=1e-4)
    assert limits.high == pytest.approx(10**6 + reach, rel=1e-4)


@pytest.mark.parametrize(
    ("ask", "says"),
    [
        (lambda: prediction_interval(3, 0, 1), "from an exposure of 0"),
        (lambda: prediction_interval(3, 1, -1), "An exposure to come of -1 is none"),
        (lambda: prediction_interval(-3, 1, 1), "-3 failures cannot be counted"),
        (lambda: upper_prediction(3, 1, math.inf), "An exposure to come of inf"),
        (lambda: upper_prediction(3, 1, 1, 95), "A level of 95"),
    ],
)
def test_what_cannot_be_predicted_is_refused(ask: object, says: str) -> None:
    assert callable(ask)
    with pytest.raises(QuestionError, match=says):
        ask()
