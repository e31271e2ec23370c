from __future__ import annotations

import math
from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np
import pytest
import slow_survival as slow
from hypothesis import given, settings
from hypothesis import strategies as st
from lifelines import KaplanMeierFitter
from scipy.stats import beta

from reliability.errors import QuestionError
from reliability.risk_table import risk_table
from reliability.survival.kaplan_meier import SurvivalAt, kaplan_meier, survival_at
from survival.fleets import many_lives, outcomes, some_lives, table_of, weibull_lives

if TYPE_CHECKING:
    from reliability.curve import Curve


def steps(curve: Curve) -> list[slow.Step]:
    columns = (curve.ages, curve.at_risk, curve.failures, curve.survival)
    masked = (curve.standard_error, curve.low, curve.high)
    rows = zip(*(column.tolist() for column in (*columns, *masked)), strict=True)
    return [slow.Step(*row) for row in rows]


def close(one: float | None, other: float | None) -> bool:
    return one is other if one is None or other is None else math.isclose(one, other, rel_tol=1e-9)


@given(some_lives | many_lives, st.sampled_from([0.5, 0.95, 0.999]), st.sampled_from([None, 0, 7]))
@settings(deadline=None)
def test_it_is_what_the_definition_gives_life_by_life(
    lives: list[slow.Life], level: float, asked: float | None
) -> None:
    if asked is not None and asked >= max(life[1] for life in lives):
        return
    begin = slow.start(lives)[0] if asked is None else asked
    curve = kaplan_meier(table_of(lives), level, asked)
    assert curve.from_age == begin
    found, expected = steps(curve), slow.kaplan_meier(lives, begin, level)
    assert [(s.age, s.at_risk, s.failures) for s in found] == [
        (s.age, s.at_risk, s.failures) for s in expected
    ]
    for ours, theirs in zip(found, expected, strict=True):
        assert close(ours.survival, theirs.survival)
        assert close(ours.error, theirs.error)
        assert close(ours.low, theirs.low)
        assert close(ours.high, theirs.high)


@pytest.mark.parametrize("seed", range(20))
def test_the_whole_curve_and_its_limits_are_those_of_lifelines(seed: int) -> None:
    """lifelines 0.30.3 takes late entry; it is given the lives from our start on, as it cannot start later."""
    rng = np.random.default_rng(seed)
    entry = np.where(rng.random(400) < 0.4, 0, rng.integers(0, 900, 400))
    exit_, failed = weibull_lives(rng, entry.astype(float), rng.uniform(0.6, 3), 1200, 500)
    exit_ = np.maximum(np.ceil(exit_), entry + 1)
    curve = kaplan_meier(risk_table(entry, exit_, outcomes(failed)))
    assert curve.from_age is not None
    used = exit_ > curve.from_age
    theirs = KaplanMeierFitter().fit(exit_[used], failed[used], entry=np.maximum(entry[used], curve.from_age))
    at = [row for row in range(curve.ages.size) if curve.survival[row] > 0]
    assert len(at) > 40
    ages = curve.ages[at]
    assert curve.survival[at] == pytest.approx(theirs.survival_function_at_times(ages).to_numpy(), abs=1e-8)
    limits = theirs.confidence_interval_.loc[ages].to_numpy()
    assert curve.low.compressed() == pytest.approx(limits[:, 0], abs=1e-8)
    assert curve.high.compressed() == pytest.approx(limits[:, 1], abs=1e-8)


@given(some_lives | many_lives)
@settings(deadline=None)
def test_survival_never_rises_and_lies_within_its_limits(lives: list[slow.Life]) -> None:
    curve = kaplan_meier(table_of(lives))
    assert (np.diff(curve.survival, prepend=1.0) < 0).sum() >= curve.ages.size - (curve.survival == 0).sum()
    assert (np.diff(curve.survival, prepend=1.0) <= 0).all()
    inside = ~np.ma.getmaskarray(curve.low)
    assert (inside == (curve.survival > 0)).all()
    assert (curve.low[inside] <= curve.survival[inside]).all()
    assert (curve.survival[inside] <= curve.high[inside]).all()


@given(many_lives, st.data())
@settings(deadline=None)
def test_cutting_a_life_in_two_changes_nothing(lives: list[slow.Life], data: st.DataObject) -> None:
    entry, exit_, outcome = data.draw(st.sampled_from([*lives, (0, 9, "failed")]))
    cut = data.draw(st.integers(entry, exit_))
    if cut in (entry, exit_):
        return
    whole, halves = (
        [*lives, (entry, exit_, outcome)],
        [*lives, (entry, cut, "interrupted"), (cut, exit_, outcome)],
    )
    assert steps(kaplan_meier(table_of(whole))) == steps(kaplan_meier(table_of(halves)))


@given(many_lives, st.randoms())
@settings(deadline=None)
def test_the_order_of_lives_changes_nothing(lives: list[slow.Life], random: st.DataObject) -> None:
    shuffled = list(lives)
    random.shuffle(shuffled)  # type: ignore[attr-defined]  # the strategy gives a random.Random
    assert steps(kaplan_meier(table_of(lives))) == steps(kaplan_meier(table_of(shuffled)))


@given(some_lives, st.integers(2, 30))
@settings(deadline=None)
def test_time_in_another_unit_gives_the_same_survival(lives: list[slow.Life], times: int) -> None:
    slower = [(times * entry, times * exit_, outcome) for entry, exit_, outcome in lives]
    one, other = kaplan_meier(table_of(lives)), kaplan_meier(table_of(slower))
    assert (times * one.ages).tolist() == other.ages.tolist()
    assert one.survival.tolist() == other.survival.tolist()


@given(many_lives, st.floats(0, 120))
@settings(deadline=None)
def test_survival_at_an_age_is_that_of_the_last_step(lives: list[slow.Life], age: float) -> None:
    table = table_of(lives)
    (found,) = survival_at(table, [age])
    begin, _, _ = slow.start(lives)
    assert found.at_risk == slow.at_risk(lives, age)
    if age < begin or not found.at_risk:
        assert (found.survival, found.low, found.high) == (None, None, None)
        return
    before = [step for step in slow.kaplan_meier(lives, begin) if step.age <= age]
    if before:
        assert close(found.survival, before[-1].survival)
        assert close(found.low, before[-1].low)
        assert close(found.high, before[-1].high)
        return
    assert (found.survival, found.high) == (1, 1)
    failures = slow.ages_of(lives, begin, "failed")
    until = failures[0] if failures else max(life[1] for life in lives)
    most = -math.log(0.025)  # Poisson: the mean at which no failure has a chance of 2.5 %
    low = slow.unfailed_low(lives, begin, age, until, most) if age > begin else 1.0
    assert found.low == pytest.approx(low, rel=1e-9)


# The edges.
@pytest.mark.parametrize("drives", [1, 5, 12, 300])
def test_no_failure_has_the_exact_limit_of_a_binomial_count_of_none(drives: int) -> None:
    """Clopper-Pearson by scipy: all drives run for 700 days, so at each age all of them were at risk."""
    table = risk_table([0] * drives, [700] * drives, ["in service"] * drives)
    for point in survival_at(table, [100, 365, 700]):
        assert (point.survival, point.high) == (1, 1)
        assert point.low == pytest.approx(1 - beta.ppf(0.975, 1, drives), rel=1e-9)
    curve = kaplan_meier(table)
    assert curve.ages.size == 0
    assert curve.unfailed_high == pytest.approx(beta.ppf(0.95, 1, drives), rel=1e-9)  # one-sided


def test_more_at_risk_later_bounds_what_could_have_failed_before() -> None:
    """Without a failure the limit to a young age is no wider than that to an old one."""
    table = risk_table([0] * 10 + [50] * 400, [600] * 410, ["in service"] * 410)
    lows = [point.low or 0.0 for point in survival_at(table, range(20, 601, 20))]
    assert all(one >= other - 1e-12 for one, other in pairwise(lows))
    assert lows[-1] > 0.98


def test_one_drive_that_fails() -> None:
    curve = kaplan_meier(risk_table([0], [9], ["failed"]))
    assert steps(curve) == [slow.Step(9, 1, 1, 0.0, None, None, None)]
    assert curve.notes[-1].endswith("so the curve is drawn where at least 1 was: read it with care.")
    assert str(curve) == "Survival: 0 % at age 9 days, 1 at risk; 1 failure"


def test_all_failed_at_one_age() -> None:
    curve = kaplan_meier(risk_table([0] * 20, [9] * 20, ["failed"] * 20))
    assert steps(curve) == [slow.Step(9, 20, 20, 0.0, None, None, None)]


def test_a_survival_of_0_stays_0_even_if_others_come_later() -> None:
    lives = [(0, 3, "failed"), (5, 8, "failed"), (5, 9, "retired")]
    curve = kaplan_meier(table_of(lives), from_age=0)
    assert curve.survival.tolist() == [0, 0]
    assert curve.low.tolist() == [None, None]


def test_nothing_is_known_where_nobody_is_at_risk() -> None:
    lives = [(0, 10, "failed"), (0, 12, "retired"), (20, 30, "failed"), (20, 30, "retired")]
    points = survival_at(table_of(lives), [12, 15, 25, 31], from_age=0)
    assert [point.survival for point in points] == [0.5, None, 0.5, None]
    assert points[1] == SurvivalAt(15, 0, None, None, None)


def test_nothing_is_known_before_the_start_and_all_survive_to_it() -> None:
    table = table_of([(3, 105, "retired"), *[(100, 400, "retired")] * 12])
    before, at, after = survival_at(table, [99.5, 100, 100.5])
    assert before == SurvivalAt(99.5, 1, None, None, None)
    assert at == SurvivalAt(100, 1, 1.0, 1.0, 1.0)
    assert after.low is not None
    assert after.low < 1


def test_no_life_is_a_curve_that_says_so() -> None:
    table = risk_table([], [], [])
    curve = kaplan_meier(table)
    assert (curve.from_age, curve.until_age, curve.shown, curve.ages.size) == (None, None, 0, 0)
    assert str(curve) == "No life of known age: there is no survival to tell."
    assert survival_at(table, [365]) == (SurvivalAt(365, 0, None, None, None),)
    assert curve.to_frame().empty


@pytest.mark.parametrize("level", [0, 1, 95, -0.5, float("nan")])
def test_a_level_that_is_none_is_refused(level: float) -> None:
    with pytest.raises(QuestionError, match="is not strictly between 0 and 1"):
        kaplan_meier(risk_table([0], [9], ["failed"]), level)


@pytest.mark.parametrize("age", [-1, float("nan"), float("inf")])
def test_survival_to_no_age_is_refused(age: float) -> None:
    with pytest.raises(QuestionError, match="give a number, 0 or more"):
        survival_at(risk_table([0], [9], ["failed"]), [age])


def test_ages_may_be_fractions() -> None:
    curve = kaplan_meier(risk_table([0, 0.25], [1.5, 2.75], ["failed", "retired"]))
    assert curve.ages.tolist() == [1.5]


def test_a_million_lives_are_their_counts() -> None:
    """The same fleet a thousand times over has the same curve and limits that are much closer."""
    entry, exit_, ends = [0] * 10 + [50] * 990, [100] * 5 + [200] * 995, ["failed"] * 40 + ["retired"] * 960
    small, large = (risk_table(entry * n, exit_ * n, ends * n) for n in (1, 100))
    one, other = kaplan_meier(small), kaplan_meier(large)
    assert one.survival == pytest.approx(other.survival)
    assert one.standard_error.compressed() == pytest.approx(10 * other.standard_error.compressed())
