from __future__ import annotations

import numpy as np
import pytest
import slow_survival as slow
from hypothesis import given, settings
from hypothesis import strategies as st
from lifelines import NelsonAalenFitter
from scipy.stats import norm

from reliability.errors import QuestionError
from reliability.risk_table import risk_table
from reliability.survival.kaplan_meier import kaplan_meier
from reliability.survival.nelson_aalen import nelson_aalen
from survival.fleets import many_lives, outcomes, some_lives, table_of, weibull_lives


@given(some_lives | many_lives)
@settings(deadline=None)
def test_it_is_what_the_definition_gives_life_by_life(lives: list[slow.Life]) -> None:
    summed = nelson_aalen(table_of(lives))
    expected = slow.nelson_aalen(lives, slow.start(lives)[0])
    assert summed.ages.tolist() == [age for age, _, _ in expected]
    assert summed.hazard == pytest.approx([hazard for _, hazard, _ in expected], rel=1e-12)
    assert summed.standard_error == pytest.approx([error for _, _, error in expected], rel=1e-12)


@pytest.mark.parametrize("seed", range(10))
def test_the_hazard_is_that_of_lifelines(seed: int) -> None:
    """lifelines 0.30.3, told not to break ties (its default spreads tied failures).

    Its limits are of another variance, d (n - d) / n^3; ours is R's, d / n^2, held in test_published.py.
    """
    rng = np.random.default_rng(seed)
    entry = np.where(rng.random(300) < 0.5, 0, rng.integers(0, 700, 300))
    exit_, failed = weibull_lives(rng, entry.astype(float), rng.uniform(0.6, 3), 1000, 500)
    exit_ = np.maximum(np.ceil(exit_), entry + 1)
    summed = nelson_aalen(risk_table(entry, exit_, outcomes(failed)))
    assert summed.from_age is not None
    used = exit_ > summed.from_age
    theirs = NelsonAalenFitter(nelson_aalen_smoothing=False).fit(
        exit_[used], failed[used], entry=np.maximum(entry[used], summed.from_age)
    )
    hazard = theirs.cumulative_hazard_.loc[summed.ages].to_numpy()[:, 0]
    assert summed.hazard == pytest.approx(hazard, abs=1e-8)


@given(some_lives, st.sampled_from([0.5, 0.95, 0.999]))
@settings(deadline=None)
def test_limits_are_those_of_the_logarithm(lives: list[slow.Life], level: float) -> None:
    """By scipy's normal distribution: at a limit the logarithm is off by z standard errors of its own."""
    summed = nelson_aalen(table_of(lives), level)
    for limit, tail in ((summed.low, (1 - level) / 2), (summed.high, (1 + level) / 2)):
        off = (np.log(limit) - np.log(summed.hazard)) / (summed.standard_error / summed.hazard)
        assert norm.cdf(off) == pytest.approx(np.full(off.size, tail), rel=1e-6)


@given(some_lives)
@settings(deadline=None)
def test_it_is_close_above_minus_the_logarithm_of_survival(lives: list[slow.Life]) -> None:
    """-log(1 - x) >= x, term by term."""
    table = table_of(lives)
    curve, summed = kaplan_meier(table), nelson_aalen(table)
    alive = curve.survival > 0
    assert (summed.hazard[alive] <= -np.log(curve.survival[alive]) + 1e-12).all()
    assert (np.diff(summed.hazard, prepend=0.0) > 0).all()


def test_it_prints_one_line_and_has_a_row_a_step() -> None:
    summed = nelson_aalen(risk_table([30] * 20, [50] * 2 + [60] * 18, ["failed"] * 2 + ["retired"] * 18))
    # 2 / 20 = 0.1, error sqrt(2) / 20; limits 0.1 x exp(+-1.96 / sqrt 2)
    assert str(summed) == (
        "Integrated hazard from age 30 days to 50 days: 0.10 (95 % 0.0250-0.400), 20 at risk; 2 failures"
    )
    assert summed.to_frame()["hazard"].tolist() == [0.1]


def test_without_a_failure_there_is_no_step() -> None:
    for table in (risk_table([0] * 20, [50] * 20, ["retired"] * 20), risk_table([], [], [])):
        assert str(nelson_aalen(table)) == "Integrated hazard: no failure, so it stays 0"
        assert nelson_aalen(table).to_frame().empty


def test_a_level_that_is_none_is_refused() -> None:
    with pytest.raises(QuestionError, match="A level of 1 is not strictly between 0 and 1"):
        nelson_aalen(risk_table([0], [9], ["failed"]), level=1)
