"""A count of failures against scipy, statsmodels and exact sums; printed values are in test_published."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import chi2, poisson
from statsmodels.stats.rates import confint_poisson

from reliability.errors import QuestionError
from reliability.poisson import (
    chance_of_at_least,
    chance_of_at_most,
    doubled_p_value,
    garwood_interval,
    lower_limit,
    upper_limit,
)

if TYPE_CHECKING:
    from numpy.typing import NDArray

COUNTS = [0, 1, 2, 3, 7, 20, 100, 1_000, 100_000]
LEVELS = [0.5, 0.8, 0.9, 0.95, 0.999]
counts = st.integers(0, 2_000)
levels = st.sampled_from(LEVELS)


@pytest.mark.parametrize("level", LEVELS)
@pytest.mark.parametrize("failures", COUNTS)
def test_limits_are_the_exact_central_ones_of_statsmodels(failures: int, level: float) -> None:
    limits = garwood_interval(failures, level)
    theirs = confint_poisson(failures, 1, method="exact-c", alpha=1 - level)
    assert (limits.low, limits.high) == pytest.approx(theirs, rel=1e-9)


@pytest.mark.parametrize("level", LEVELS)
@pytest.mark.parametrize("failures", COUNTS)
def test_one_sided_limits_are_chi_square_quantiles_of_scipy(failures: int, level: float) -> None:
    assert upper_limit(failures, level) == pytest.approx(chi2.ppf(level, 2 * failures + 2) / 2, rel=1e-9)
    lower = chi2.ppf(1 - level, 2 * failures) / 2 if failures else 0.0
    assert lower_limit(failures, level) == pytest.approx(lower, rel=1e-9)


@given(failures=counts, expected=st.floats(0, 3_000))
@settings(deadline=None)
def test_tails_are_those_of_scipy(failures: int, expected: float) -> None:
    at_most, at_least = poisson.cdf(failures, expected), poisson.sf(failures - 1, expected)
    assert chance_of_at_most(failures, expected) == pytest.approx(at_most, rel=1e-9, abs=1e-300)
    assert chance_of_at_least(failures, expected) == pytest.approx(at_least, rel=1e-9, abs=1e-300)
    doubled = min(1.0, 2 * min(at_most, at_least))
    assert doubled_p_value(failures, expected) == pytest.approx(doubled, rel=1e-9, abs=1e-300)


@given(failures=counts, level=levels, share=st.floats(0.01, 3))
@settings(deadline=None)
def test_p_value_and_interval_never_contradict_each_other(failures: int, level: float, share: float) -> None:
    limits, expected = garwood_interval(failures, level), share * (failures + 1)
    if not any(math.isclose(expected, limit, rel_tol=1e-9) for limit in (limits.low, limits.high)):
        assert (doubled_p_value(failures, expected) < 1 - level) == (not limits.contains(expected))


@given(failures=counts, level=levels)
def test_the_interval_holds_the_count_and_moves_up_with_it(failures: int, level: float) -> None:
    limits, more = garwood_interval(failures, level), garwood_interval(failures + 1, level)
    assert limits.contains(failures)
    assert limits.low < more.low
    assert limits.high < more.high


def test_nothing_expected() -> None:
    assert doubled_p_value(0, 0.0) == 1.0
    assert doubled_p_value(1, 0.0) == 0.0


@pytest.mark.parametrize("failures", [-1, 1.5, math.nan, math.inf])
def test_a_count_is_whole(failures: float) -> None:
    with pytest.raises(QuestionError, match=f"{failures} failures cannot be counted; give a whole number"):
        garwood_interval(failures)  # type: ignore[arg-type]  # what a caller without type checks may do


def test_a_level_in_percent_is_refused() -> None:
    with pytest.raises(QuestionError, match=r"write 0\.95 for 95 %"):
        upper_limit(0, 95)


# What shares of samples the limits hold the truth in, by exact sums over all counts: no chance, no seed.
MEANS = np.geomspace(0.1, 50, 500)


def coverage(low: NDArray[np.float64], high: NDArray[np.float64], mean: float) -> float:
    chances = poisson.pmf(np.arange(low.size), mean)
    return float(chances[(low <= mean) & (mean <= high)].sum())


def test_limits_hold_the_truth_as_often_as_stated() -> None:
    every = [garwood_interval(failures) for failures in range(200)]
    low, high = np.array([i.low for i in every]), np.array([i.high for i in every])
    held = np.array([coverage(low, high, mean) for mean in MEANS])
    assert held.min() >= 0.951
    assert held[MEANS < 3.68].min() >= 0.975  # below the upper limit for no failure no lower limit can err


@pytest.mark.parametrize(("mean", "held"), [(0.1, 0.095), (1, 0.63), (3, 0.80), (10, 0.93)])
def test_plus_minus_two_standard_errors_do_not(mean: float, held: float) -> None:
    """The negative control: the usual approximation must fail where ours holds."""
    failures = np.arange(200.0)
    half = 1.96 * np.sqrt(failures)
    assert coverage(failures - half, failures + half, mean) == pytest.approx(held, abs=0.005)
