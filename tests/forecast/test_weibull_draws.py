"""Random-weight fits: all at once against one at a time, and against lifelines with the same weights."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from lifelines import WeibullFitter
from survival.fits import fitted
from survival.fleets import many_lives, outcomes, table_of, weibull_lives

from reliability.forecast.weibull_draws import weibull_draws, weighted_fits
from reliability.risk_table import RiskTable, risk_table
from reliability.survival.likelihood import likelihood
from reliability.survival.root import falling_root
from reliability.survival.weibull import weibull
from reliability.survival.weibull_life import Weibull


def aged_fleet(seed: int, shape: float = 1.6, drives: int = 400) -> RiskTable:
    rng = np.random.default_rng(seed)
    entry = rng.integers(0, 700, drives).astype(float)
    exit_, failed = weibull_lives(rng, entry, shape, 2_000, 500)
    return risk_table(entry, np.maximum(np.ceil(exit_), entry + 1), outcomes(failed), exact=False)


def one_at_a_time(table: RiskTable, weights: np.ndarray) -> tuple[float, float]:
    """Shape and scale that solve the weighted likelihood equation, by Newton's method on that alone."""
    lives = likelihood(table)
    ages = table.age[table.failed > 0] - (0.0 if table.exact else 0.5)
    mean_log = float(weights @ np.log(ages / lives.oldest) / weights.sum())

    def score(shape: float) -> tuple[float, float]:
        sums = lives.sums(shape)
        ratio = sums.slope / sums.value
        return 1 / shape + mean_log - ratio, -1 / shape - shape * (sums.bend / sums.value - ratio**2)

    shape = falling_root(score, 1.0)
    return shape, lives.oldest * float(weights.sum() / lives.sums(shape).value) ** (-1 / shape)


@pytest.mark.parametrize("seed", [1, 2])
@pytest.mark.parametrize("true_shape", [0.6, 1.6, 4.0])
def test_all_at_once_is_one_at_a_time(seed: int, true_shape: float) -> None:
    table = aged_fleet(seed, true_shape)
    rng = np.random.default_rng(seed)
    weights = rng.standard_gamma(table.failed[table.failed > 0], size=(40, int((table.failed > 0).sum())))
    found = weighted_fits(table, weights)
    for draw, each in enumerate(weights):
        shape, scale = one_at_a_time(table, each)
        assert found.shape[draw] == pytest.approx(shape, rel=1e-6)
        assert found.oldest * found.factor[draw] ** (-1 / found.shape[draw]) == pytest.approx(scale, rel=1e-6)


def test_lifelines_with_the_same_weights_finds_the_same_life() -> None:
    """Weights on failures alone: each failure is a life of its weight, less one of the same weight that ends unseen.

    lifelines takes no negative weight, so the exposure stays by giving the failures' lives twice: censored with
    weight 1, and as failures of a life of no length, which here is one of a millionth of a day.
    """
    rng = np.random.default_rng(4)
    exit_, failed = weibull_lives(rng, np.zeros(60), 1.7, 300, 250)
    table = risk_table(np.zeros(60), exit_, outcomes(failed))
    ages = table.age[table.failed > 0]
    weights = rng.exponential(size=ages.size)
    short = 1e-6
    durations = np.concatenate((exit_, ages))
    outside = WeibullFitter().fit(
        durations,
        np.concatenate((np.zeros(60), np.ones(ages.size))),
        entry=np.concatenate((np.zeros(60), ages - short)),
        weights=np.concatenate((np.ones(60), weights)),
    )
    found = weighted_fits(table, weights[np.newaxis])
    assert found.shape[0] == pytest.approx(outside.rho_, rel=1e-4)
    assert found.oldest * found.factor[0] ** (-1 / found.shape[0]) == pytest.approx(outside.lambda_, rel=1e-4)


@given(many_lives, st.booleans())
def test_weights_of_one_give_the_fit_itself(lives: list[tuple[int, int, str]], exact: bool) -> None:  # noqa: FBT001
    table = table_of(lives, exact=exact)
    fit = weibull(table)
    assume(isinstance(fit, Weibull))
    fit = fitted(table)
    found = weighted_fits(table, table.failed[table.failed > 0][np.newaxis].astype(float))
    assume(1e-3 < fit.shape.value < 1e3)
    assert found.shape[0] == pytest.approx(fit.shape.value, rel=1e-6)
    ages = np.array([10.0, 40.0])
    due = fit.integrated_hazard(ages + 30) - fit.integrated_hazard(ages)
    assert found.due(ages, 30)[0] == pytest.approx(due, rel=1e-5, abs=1e-9)


def test_cutting_lives_in_two_changes_no_draw() -> None:
    whole = risk_table([0] * 40, [*range(10, 50)], ["failed", "in service"] * 20)
    cut = risk_table(
        [0] * 40 + [5] * 40, [5] * 40 + [*range(10, 50)], ["in service"] * 40 + ["failed", "in service"] * 20
    )
    one, other = (weibull_draws(table, np.random.default_rng(5), 50) for table in (whole, cut))
    assert other.shape == pytest.approx(one.shape, rel=1e-9)
    assert other.factor == pytest.approx(one.factor, rel=1e-9)


def test_draws_scatter_as_the_standard_error_says() -> None:
    """With 150 failures or so the log of the shape is near normal, with the error from the observed information."""
    table = aged_fleet(3, 1.6, drives=900)
    fit = fitted(table)
    drawn = weibull_draws(table, np.random.default_rng(6), 4_000)
    spread = float(np.log(drawn.shape).std())
    assert spread == pytest.approx(fit.shape.standard_error / fit.shape.value, rel=0.08)


def test_a_drive_that_is_new_takes_the_whole_hazard_to_its_age() -> None:
    drawn = weibull_draws(aged_fleet(1), np.random.default_rng(1), 3)
    assert drawn.due(np.array([0.0]), drawn.oldest)[:, 0] == pytest.approx(drawn.factor)
