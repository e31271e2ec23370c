from __future__ import annotations

import math

import numpy as np
import pytest
import slow_survival as slow
from lifelines import WeibullFitter
from published_values import rows_of
from scipy.stats import chi2

from reliability.risk_table import RiskTable, risk_table
from reliability.survival.likelihood import likelihood
from reliability.survival.weibull import weibull
from reliability.survival.weibull_life import NoFit, WeibullRefused
from survival.fits import HALF, each, fitted, limits
from survival.fleets import outcomes, table_of, weibull_lives


def fleet(rng: np.random.Generator) -> RiskTable:
    """A fleet of any kind: 5 to 2000 drives, shapes from 0.2 to 20, watched for a day or for years.

    They enter at age 0, at any age, late only, or very old and all within ten days; few or nearly all fail.
    """
    size, shape = (
        int(np.exp(rng.uniform(np.log(5), np.log(2000)))),
        np.exp(rng.uniform(np.log(0.2), np.log(20))),
    )
    entry = [
        np.zeros(size),
        rng.integers(0, 1500, size),
        rng.integers(1000, 3000, size),
        rng.integers(20_000, 20_010, size),
        np.where(rng.random(size) < 0.9, rng.integers(0, 3000, size), 0),
    ][rng.integers(5)]
    days = int(rng.choice([1, 30, 400, 2000]))
    failing = np.exp(rng.uniform(np.log(min(0.8, 3 / size)), np.log(0.95)))
    scale = (entry.max() + days) / (-math.log1p(-failing)) ** (1 / shape)
    life, _ = weibull_lives(rng, entry.astype(float), shape, scale, np.inf)
    life = np.maximum(np.ceil(life), entry + 1)
    exit_ = np.minimum(life, entry + rng.integers(1, days + 1, size))
    return risk_table(entry, exit_, outcomes(exit_ == life), exact=bool(rng.integers(2)))


@pytest.mark.parametrize("seed", range(100))
def test_every_fittable_fleet_is_fitted_and_nothing_beats_it(seed: int) -> None:
    """No shape near or far has a larger likelihood, and both limits of the shape have lost chi-square over 2."""
    rng = np.random.default_rng(seed)
    table = fleet(rng)
    while (table.failed > 0).sum() < 2:
        table = fleet(rng)
    fit, lives = weibull(table), likelihood(table)
    if isinstance(fit, WeibullRefused):
        assert fit.reason is NoFit.NO_MAXIMUM
        near_0 = [lives.profile(shape, lives.sums(shape)) for shape in np.geomspace(1e-6, 1e-2, 9)]
        assert near_0 == sorted(near_0, reverse=True)
        return
    for factor in np.geomspace(1e-3, 1e3, 121):
        shape = fit.shape.value * float(factor)
        assert lives.profile(shape, lives.sums(shape)) <= fit.log_likelihood + 1e-9 * abs(fit.log_likelihood)
    for limit in limits(fit.shape):
        if limit is not None:
            lost = fit.log_likelihood - lives.profile(limit, lives.sums(limit))
            assert 2 * lost == pytest.approx(chi2.ppf(0.95, 1), rel=1e-6)
    for estimate in each(fit):
        assert 0 < estimate.value < math.inf
        assert 0 < estimate.standard_error < math.inf
        assert estimate.low is None or 0 < estimate.low < estimate.value
        assert estimate.high is None or estimate.value < estimate.high < math.inf


@pytest.mark.parametrize("seed", range(12))
def test_fit_and_limits_are_those_of_a_search_life_by_life(seed: int) -> None:
    rng = np.random.default_rng(1000 + seed)
    size, early = 60, HALF * (seed % 2)
    entry = np.where(rng.random(size) < 0.5, 0, rng.integers(0, 400, size))
    life, _ = weibull_lives(rng, entry.astype(float), rng.uniform(0.6, 3), 500, np.inf)
    life = np.maximum(np.ceil(life), entry + 1)
    exit_ = np.minimum(life, entry + rng.integers(20, 400, size))
    rows = [(int(e), int(x), str(o)) for e, x, o in zip(entry, exit_, outcomes(life == exit_), strict=True)]
    fit = fitted(table_of(rows, exact=not early), level=0.9)
    plain, drop = slow.WeibullLives(rows, early), chi2.ppf(0.9, 1) / 2
    log_shape, log_scale, highest = plain.best()
    assert fit.log_likelihood == pytest.approx(highest, rel=1e-9)
    assert fit.shape.value == pytest.approx(math.exp(log_shape), rel=1e-5)
    assert fit.scale.value == pytest.approx(math.exp(log_scale), rel=1e-5)
    assert limits(fit.shape) == pytest.approx(plain.shape_limits(drop), rel=1e-5)
    assert limits(fit.scale) == pytest.approx(plain.quantile_limits(-math.expm1(-1), drop), rel=1e-5)
    assert limits(fit.quantiles[0].age) == pytest.approx(plain.quantile_limits(0.1, drop), rel=1e-5)


@pytest.mark.parametrize("seed", range(12))
def test_fit_and_standard_errors_are_those_of_lifelines(seed: int) -> None:
    """lifelines 0.30.3 with late entry, given the same exits; its Hessian is exact."""
    rng = np.random.default_rng(seed)
    entry = np.where(rng.random(500) < 0.5, 0, rng.integers(1, 900, 500)).astype(float)
    life, _ = weibull_lives(rng, entry, rng.uniform(0.7, 4), 1200, np.inf)
    exit_ = np.minimum(life, entry + rng.uniform(50, 700, 500))
    failed = life == exit_
    fit = fitted(risk_table(entry, exit_, outcomes(failed)))
    theirs = WeibullFitter().fit(exit_, failed, entry=entry)
    assert fit.shape.value == pytest.approx(theirs.rho_, rel=1e-4)
    assert fit.scale.value == pytest.approx(theirs.lambda_, rel=1e-4)
    assert fit.log_likelihood == pytest.approx(theirs.log_likelihood_, rel=1e-7)
    assert fit.shape.standard_error == pytest.approx(theirs.summary.loc["rho_", "se(coef)"], rel=1e-3)
    assert fit.scale.standard_error == pytest.approx(theirs.summary.loc["lambda_", "se(coef)"], rel=1e-3)
    assert fit.quantiles[0].age.value == pytest.approx(theirs.percentile(0.9), rel=1e-4)


def test_published_fans_known_to_the_day_move_as_the_methods_say() -> None:
    """methods.md, section 8: 10 h to the day, the shape moves from 1.0585 to 1.0559, the scale to 26 388 h."""
    rows = rows_of("data/genfan.csv")
    days, ends = (
        [int(row["hours"]) // 10 for row in rows],
        ["failed" if row["status"] == "1" else "retired" for row in rows],
    )
    by_hour = fitted(risk_table([0] * 70, days, ends))
    by_day = fitted(risk_table([0] * 70, days, ends, exact=False))
    # reference wb_genfan, and the same by lifelines with failures half a day earlier
    assert (by_hour.shape.value, 10 * by_hour.scale.value) == pytest.approx((1.058446, 26296.85), rel=1e-6)
    assert (by_day.shape.value, 10 * by_day.scale.value) == pytest.approx((1.0559, 26388), rel=5e-5)
    failed = np.array([end == "failed" for end in ends])
    theirs = WeibullFitter().fit(np.array(days) - HALF * failed, failed)
    assert (by_day.shape.value, by_day.scale.value) == pytest.approx((theirs.rho_, theirs.lambda_), rel=1e-4)


@pytest.mark.parametrize("seed", range(30))
def test_whether_the_likelihood_rises_from_a_shape_of_0_is_its_slope_there(seed: int) -> None:
    """All enter late, and the younger the failures are, the less it rises."""
    rng = np.random.default_rng(seed)
    ages = 400 + np.sort(rng.uniform(0, 300 * rng.uniform(0.1, 1), 3))
    lives = likelihood(risk_table([400] * 20, [*ages, *[700] * 17], ["failed"] * 3 + ["retired"] * 17))
    at_0 = lives.profile_at_0
    assert at_0 is not None
    near, further = (lives.profile(shape, lives.sums(shape)) for shape in (1e-5, 1e-3))
    assert near == pytest.approx(at_0, abs=1e-3)
    assert lives.rises_at_0 == (further > near)
