from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from reliability.risk_table import risk_table
from reliability.survival.weibull import weibull
from reliability.survival.weibull_life import Weibull, WeibullRefused
from survival.fits import HALF, each, limits
from survival.fleets import many_lives, some_lives, table_of

if TYPE_CHECKING:
    import slow_survival as slow


def comparable(lives: list[slow.Life], early: float = 0.0) -> Weibull:
    fit = weibull(table_of(lives, exact=not early), quantiles=(0.05, 0.5))
    assume(isinstance(fit, Weibull))
    assert isinstance(fit, Weibull)
    return fit


def assert_alike(one: Weibull, other: Weibull, scaled: float = 1.0) -> None:
    for ours, theirs in zip(each(one), each(other), strict=True):
        factor = 1.0 if ours is one.shape else scaled
        for mine, its in zip((ours.value, *limits(ours)), (theirs.value, *limits(theirs)), strict=True):
            assert (mine is None) == (its is None)
            if mine is not None and its is not None:
                assert factor * mine == pytest.approx(its, rel=1e-6)


@given(many_lives, st.data(), st.sampled_from([0.0, HALF]))
@settings(deadline=None, max_examples=50)
def test_cutting_a_life_in_two_changes_nothing(
    lives: list[slow.Life], data: st.DataObject, early: float
) -> None:
    entry, exit_, outcome = data.draw(
        st.sampled_from([life for life in lives if life[1] - life[0] > 1] or lives)
    )
    assume(exit_ - entry > 1)
    cut = data.draw(st.integers(entry + 1, exit_ - 1))
    whole, halves = (
        [*lives, (entry, exit_, outcome)],
        [*lives, (entry, cut, "interrupted"), (cut, exit_, outcome)],
    )
    assert_alike(comparable(whole, early), comparable(halves, early))


@given(many_lives, st.sampled_from([0.001, 7.0, 1e5]))
@settings(deadline=None, max_examples=50)
def test_time_in_another_unit_leaves_the_shape_and_scales_the_ages(
    lives: list[slow.Life], times: float
) -> None:
    entry, exit_, outcome = (np.array(column) for column in zip(*lives, strict=True))
    scaled = weibull(risk_table(times * entry, times * exit_, outcome), quantiles=(0.05, 0.5))
    one = comparable(lives)
    assert isinstance(scaled, Weibull)
    assert_alike(one, scaled, times)
    assert scaled.constant_rate.statistic == pytest.approx(one.constant_rate.statistic, abs=1e-8)


@given(many_lives, st.randoms())
@settings(deadline=None, max_examples=30)
def test_the_order_of_lives_changes_nothing(lives: list[slow.Life], random: st.DataObject) -> None:
    shuffled = list(lives)
    random.shuffle(shuffled)  # type: ignore[attr-defined]  # the strategy gives a random.Random
    assert weibull(table_of(lives)) == weibull(table_of(shuffled))


@given(some_lives)
@settings(deadline=None, max_examples=50)
def test_the_same_lives_twice_have_the_same_fit_and_closer_limits(lives: list[slow.Life]) -> None:
    one, other = comparable(lives), comparable(lives * 2)
    assert one.shape.value == pytest.approx(other.shape.value, rel=1e-6)
    assert one.shape.standard_error == pytest.approx(math.sqrt(2) * other.shape.standard_error, rel=1e-6)
    if one.shape.low is not None and one.shape.high is not None:
        assert other.shape.low is not None
        assert other.shape.high is not None
        assert one.shape.low < other.shape.low
        assert other.shape.high < one.shape.high


@given(many_lives, st.floats(0.5, 0.99))
@settings(deadline=None, max_examples=50)
def test_a_higher_level_has_wider_limits(lives: list[slow.Life], level: float) -> None:
    table = table_of(lives)
    one, other = weibull(table, level), weibull(table, level + 0.009)
    assume(isinstance(one, Weibull))
    assert isinstance(one, Weibull)
    assert isinstance(other, Weibull)
    for ours, wider in zip(each(one), each(other), strict=True):
        assert wider.low is None or (ours.low is not None and wider.low < ours.low)
        assert wider.high is None or (ours.high is not None and wider.high > ours.high)


@given(many_lives)
@settings(deadline=None, max_examples=50)
def test_a_shape_of_1_is_the_exponential_with_the_same_exits(lives: list[slow.Life]) -> None:
    """Its log-likelihood is d log(d / T) - d, so that the test of one rate is against x / T."""
    fit, table = comparable(lives), table_of(lives)
    d, days = table.failures, table.drive_days
    at_1 = d * math.log(d / days) - d
    assert fit.constant_rate.statistic == pytest.approx(2 * (fit.log_likelihood - at_1), abs=1e-7)


@given(some_lives | many_lives, st.sampled_from([0.0, HALF]))
@settings(deadline=None)
def test_any_lives_give_a_fit_or_a_reason(lives: list[slow.Life], early: float) -> None:
    found = weibull(table_of(lives, exact=not early), quantiles=(0.001, 0.1, 0.999))
    assert str(found)
    assert not found.to_frame().empty
    if isinstance(found, WeibullRefused):
        assert found.sentence.startswith("No Weibull fit: ")
