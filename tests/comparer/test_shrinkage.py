"""Shrunk rates: laws, and outside checks by integration; their coverage is in test_coverage.py."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.stats import gamma, nbinom, poisson

from reliability.comparer.shrinkage import log_likelihood, shrink
from reliability.errors import QuestionError
from reliability.rate import Rate

FLEET = [Rate(1, 3_650), Rate(0, 3_650), Rate(9, 365_000), Rate(12, 365_000), Rate(30, 365_000)]


def rng() -> np.random.Generator:
    return np.random.default_rng(20)


def test_a_count_averaged_over_the_family_is_negative_binomial() -> None:
    """By scipy's distribution, and by integrating its Poisson over its gamma."""
    exposure, mean, cv = np.array([150.0]), 0.02, 0.5
    shape, rate = 1 / cv**2, 1 / cv**2 / mean
    ours = [float(log_likelihood(np.array([x]), exposure, np.array(mean), np.array(cv))) for x in (3.0, 5.0)]
    by_scipy = np.asarray(nbinom.logpmf([3, 5], shape, rate / (rate + 150)))
    factorials = np.log([6, 120])  # ours leaves them, and the exposure's powers, out: up to a constant
    powers = np.array([3, 5]) * np.log(150)
    assert np.diff(np.array(ours) - factorials + powers) == pytest.approx(np.diff(by_scipy))
    averaged, _ = quad(
        lambda r: poisson.pmf(3, 150 * r) * gamma.pdf(r, shape, scale=1 / rate), 0, 1, points=[0.02]
    )
    assert averaged == pytest.approx(float(np.exp(by_scipy[0])), rel=1e-6)


def test_mean_and_limits_are_those_of_the_integrals() -> None:
    """A plain sum over a wide, fine lattice of log mean and cv, with one gamma a node; slow, and without a zoom."""
    failures = np.array([rate.failures for rate in FLEET], dtype=float)
    exposure = np.array([rate.drive_years for rate in FLEET])
    middle = np.log(failures.sum() / exposure.sum())
    log_mean, cv = np.linspace(middle - 5, middle + 5, 500), (np.arange(300) + 0.5) / 100
    m, c = (grid.ravel() for grid in np.meshgrid(np.exp(log_mean), cv))
    a, b = 1 / c**2, 1 / c**2 / m
    logs = np.asarray(nbinom.logpmf(failures, a[:, None], b[:, None] / (b[:, None] + exposure))).sum(axis=1)
    weights = np.exp(logs - logs.max())
    weights /= weights.sum()
    keep = weights > 1e-9
    for place, found in enumerate(shrink(FLEET, rng=rng(), draws=10)):
        shape, scale = a[keep] + failures[place], 1 / (b[keep] + exposure[place])
        assert found.per_year == pytest.approx(weights[keep] @ (shape * scale), rel=5e-3)
        below = [
            weights[keep] @ gamma.cdf(limit, shape, scale=scale)
            for limit in (found.interval.low, found.interval.high)
        ]
        assert below == pytest.approx([0.025, 0.975], abs=1e-3)


@given(st.lists(st.integers(5, 60), min_size=5, max_size=9), st.integers(1_000, 1_000_000))
@settings(deadline=None, max_examples=25)
def test_with_equal_exposure_all_are_pulled_alike_towards_one_mean(
    counts: list[int], drive_days: int
) -> None:
    """Then shrunk = mean + pull x (raw - mean), 0 < pull < 1: each lies between its raw rate and that mean."""
    raw = np.array(counts) / (drive_days / 365)
    shrunk = np.array(
        [each.per_year for each in shrink([Rate(x, drive_days) for x in counts], rng=rng(), draws=10)]
    )
    if np.ptp(raw):
        pull, begin = np.polyfit(raw, shrunk, 1)
        assert shrunk == pytest.approx(begin + pull * raw, rel=1e-9)
        assert 0 < pull < 1
        centre = begin / (1 - pull)
        assert all(
            min(one, centre) <= other <= max(one, centre) for one, other in zip(raw, shrunk, strict=True)
        )
    else:
        centre = shrunk[0]
    assert centre == pytest.approx(raw.mean(), rel=0.1)


def test_the_less_exposure_the_further_it_is_pulled() -> None:
    """Three models at three times the rate of twenty others, 3, 30 and 300 failures of theirs seen."""
    others = [Rate(10, 365_000)] * 20
    small, middle, large = shrink(
        [Rate(3, 36_500), Rate(30, 365_000), Rate(300, 3_650_000), *others], rng=rng()
    )[:3]
    assert 0.01 < small.per_year < middle.per_year < large.per_year < 0.03
    assert small.per_year < 0.02
    assert large.per_year > 0.029


def test_a_tiny_model_without_a_failure_is_no_best() -> None:
    shrunk = shrink([Rate(0, 365), *FLEET[2:], Rate(5, 365_000)], rng=rng())
    assert shrunk[-1].per_year < shrunk[0].per_year


def test_chances_to_be_the_worst_add_up_and_go_to_the_clearly_worst() -> None:
    shrunk = shrink(FLEET, rng=rng())
    assert sum(each.worst_probability for each in shrunk) == pytest.approx(1)
    alike = shrink([Rate(10, 365_000)] * 5, rng=rng())
    assert [each.worst_probability for each in alike] == pytest.approx([0.2] * 5, abs=0.02)
    clear = shrink([Rate(100, 365_000), *[Rate(10, 365_000)] * 4], rng=rng())
    assert clear[0].worst_probability > 0.99
    assert shrink(FLEET, rng=rng()) == shrink(FLEET, rng=rng())


def test_few_models_or_no_failure_are_refused() -> None:
    with pytest.raises(QuestionError, match="No shrunk rates: 4 models, and it takes 5 to see"):
        shrink(FLEET[:4], rng=rng())
    with pytest.raises(QuestionError, match="No shrunk rates: none of the models had a failure"):
        shrink([Rate(0, 365)] * 5, rng=rng())
