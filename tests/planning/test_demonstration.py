"""Demonstration tests, success runs and spares, against scipy's distributions and by their laws."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import binom, poisson

from reliability.errors import QuestionError
from reliability.planning.demonstration import drive_years_to_demonstrate, failures_allowed
from reliability.planning.least_count import least_count
from reliability.planning.spares import chance_of_enough, spares_for
from reliability.planning.success_run import level_shown, reliability_shown, units_to_show

LEVELS = st.floats(0.5, 0.999)
COUNTS = st.integers(0, 30)


@given(st.integers(0, 10**6), st.integers(0, 100))
def test_the_least_count_is_the_first_for_which_it_holds(least: int, start: int) -> None:
    assert least_count(lambda number: number >= least, start) == max(least, start)


@given(st.floats(1e-4, 1), COUNTS, LEVELS)
def test_just_the_failures_allowed_show_a_rate(per_year: float, failures: int, level: float) -> None:
    drive_years = drive_years_to_demonstrate(per_year, failures, level)
    assert poisson.cdf(failures, per_year * drive_years) == pytest.approx(1 - level, rel=1e-9)
    assert failures_allowed(per_year, 1.0001 * drive_years, level) == failures
    less = failures_allowed(per_year, 0.9999 * drive_years, level)
    assert less == (failures - 1 if failures else None)


@pytest.mark.parametrize(("stated", "failures", "expected"), [(0.0035, 0, 856), (0.00876, 0, 342)])
def test_drive_years_without_a_failure(stated: float, failures: int, expected: int) -> None:
    # 2.996 / s: the 95 % limit of a Poisson count of 0, -ln 0.05
    assert round(drive_years_to_demonstrate(stated, failures)) == expected
    assert drive_years_to_demonstrate(stated) == pytest.approx(-math.log(0.05) / stated, rel=1e-12)


@given(st.floats(0.5, 0.99), LEVELS, st.integers(0, 8))
def test_one_unit_fewer_is_too_few(reliability: float, level: float, failures: int) -> None:
    units = units_to_show(reliability, level, failures=failures)
    assert binom.cdf(failures, units, 1 - reliability) <= (1 - level) * (1 + 1e-9)
    assert binom.cdf(failures, units - 1, 1 - reliability) > (1 - level) * (1 - 1e-9)


@given(st.integers(1, 500), st.integers(0, 20), LEVELS)
def test_level_and_reliability_are_each_others_inverse(units: int, failures: int, level: float) -> None:
    tried = units + failures
    reliability = reliability_shown(tried, failures, level)
    assert level_shown(tried, reliability, failures) == pytest.approx(level, rel=1e-9)
    assert binom.cdf(failures, tried, 1 - reliability) == pytest.approx(1 - level, rel=1e-6)


@given(st.floats(0.5, 0.99), LEVELS, st.floats(0.3, 4), st.floats(1, 3))
def test_units_that_run_longer_are_never_more(
    reliability: float, level: float, shape: float, lives: float
) -> None:
    assert units_to_show(reliability, level, lives=lives, shape=shape) <= units_to_show(reliability, level)
    assert units_to_show(reliability, level, shape=shape) == units_to_show(reliability, level)


@given(st.floats(0, 1000), st.floats(0.5, 0.9999))
def test_spares_are_the_quantile(expected: float, service: float) -> None:
    spares = spares_for(expected, service)
    assert chance_of_enough(expected, spares) >= service
    assert spares == 0 or chance_of_enough(expected, spares - 1) < service
    assert chance_of_enough(expected, spares) == pytest.approx(poisson.cdf(spares, expected), rel=1e-9)


def test_nothing_expected_needs_no_spare() -> None:
    assert spares_for(0) == 0
    assert chance_of_enough(0, 0) == 1


@pytest.mark.parametrize(
    ("ask", "says"),
    [
        (lambda: drive_years_to_demonstrate(0), "0 failures per drive-year is no rate to plan for"),
        (lambda: drive_years_to_demonstrate(0.01, -1), "-1 failures cannot be counted"),
        (lambda: drive_years_to_demonstrate(0.01, level=1), "A level of 1 is not strictly between"),
        (lambda: failures_allowed(math.inf, 10), "inf failures per drive-year is no rate to plan for"),
        (lambda: units_to_show(1), "A reliability of 1 is not strictly between 0 and 1"),
        (lambda: units_to_show(0.9, lives=0), "A number of lives of 0"),
        (lambda: units_to_show(0.9, lives=1e9, shape=9), "with a chance of 0, from which nothing"),
        (lambda: level_shown(3, 0.9, 3), "A test of 3 units with 3 failed shows no reliability"),
        (lambda: reliability_shown(2.5), "A test of 2.5 units"),  # type: ignore[arg-type]  # what it is about
        (lambda: spares_for(-1), "-1 failures cannot be expected"),
        (lambda: spares_for(3, 0), "A level of 0 is not strictly between"),
    ],
)
def test_what_cannot_be_planned_is_refused_with_the_value(ask: object, says: str) -> None:
    assert callable(ask)
    with pytest.raises(QuestionError, match=says):
        ask()
