"""Chances of an answer, and exposure needed for one, against exact sums by scipy."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import chi2, poisson

from reliability.errors import QuestionError
from reliability.planning.needed import needed
from reliability.planning.power import chance_to_exclude, plans

TOTALS = np.arange(2000)
LOW = np.concatenate(([0.0], chi2.ppf(0.025, 2 * TOTALS[1:]) / 2))
HIGH = chi2.ppf(0.975, 2 * TOTALS + 2) / 2


@given(st.floats(0.001, 300), st.floats(1.1, 4))
def test_the_chance_is_that_of_all_counts_that_exclude(expected: float, times: float) -> None:
    chances = poisson.pmf(TOTALS, times * expected)
    assert chance_to_exclude(1, times, expected) == pytest.approx(chances[expected < LOW].sum(), abs=1e-9)
    chances = poisson.pmf(TOTALS, expected)
    assert chance_to_exclude(times, 1, expected) == pytest.approx(
        chances[times * expected > HIGH].sum(), abs=1e-9
    )


@given(st.floats(0, 300))
def test_a_false_alarm_is_rare_on_either_side(expected: float) -> None:
    """As good as true: the side of a truth just beside the rate."""
    for truth in (1 + 1e-12, 1 - 1e-12):
        assert chance_to_exclude(1, truth, expected) <= 0.025 + 1e-9


def test_the_exposure_needed_gives_the_chance_and_keeps_it() -> None:
    takes = needed(0.0035)
    for exposure in np.linspace(1, 1.25, 200):
        assert chance_to_exclude(1, 2, exposure * takes.to_detect + 1e-9) >= 0.8 - 1e-6
        assert chance_to_exclude(2, 1, exposure * takes.to_call_consistent + 1e-9) >= 0.8 - 1e-6
    assert chance_to_exclude(1, 2, 0.99 * takes.to_detect) < 0.8
    assert takes.to_demonstrate == pytest.approx(-math.log(0.05), rel=1e-12)


def test_twelve_drives_for_a_year_and_a_fleet() -> None:
    """At 0.35 %: 0.042 failures expected in 12 drive-years; 12,000 drives find twice the rate in a year."""
    ((few,), (many,)) = plans([12, 12_000], [12], 0.0035)
    assert few.expected == pytest.approx(0.042)
    assert few.at_most == pytest.approx(-math.log(0.05) / 12)
    assert few.chance_to_find < 0.01
    assert many.drive_years == 12_000
    assert many.chance_to_find > 0.999


@given(st.integers(0, 5000), st.floats(0, 120), st.floats(1e-3, 0.2))
def test_a_plan_is_its_exposure(drives: int, months: float, stated: float) -> None:
    ((plan,),) = plans([drives], [months], stated)
    assert plan.expected == pytest.approx(stated * drives * months / 12)
    assert 0 <= plan.chance_to_find <= 1
    assert plan.at_most > 0


def test_no_drive_says_nothing() -> None:
    ((plan,),) = plans([0], [12], 0.0035)
    assert (plan.expected, plan.at_most, plan.chance_to_find) == (0, math.inf, 0)


@pytest.mark.parametrize(("excluded", "truth"), [(1, 2), (2, 1), (1, 1.25), (1.25, 1)])
def test_a_fleet_of_any_size_is_planned_at_once(excluded: float, truth: float) -> None:
    assert chance_to_exclude(excluded, truth, 1e13) == 1
    below = 1600 * max(truth, excluded) / (truth - excluded) ** 2  # from there on it is not computed
    assert chance_to_exclude(excluded, truth, 0.99 * below) == 1


@pytest.mark.parametrize(
    ("ask", "says"),
    [
        (lambda: needed(-0.1), "-0.1 failures per drive-year is no rate"),
        (lambda: needed(0.01, times=1), "1 times the stated rate is no excess"),
        (lambda: chance_to_exclude(1, 1, 5), "No exposure excludes 1 times the stated rate"),
        (lambda: plans([-1], [12], 0.01), "-1 cannot be planned with"),
        (lambda: plans([1], [math.nan], 0.01), "nan cannot be planned with"),
    ],
)
def test_what_cannot_be_planned_is_refused(ask: object, says: str) -> None:
    assert callable(ask)
    with pytest.raises(QuestionError, match=says):
        ask()
