from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import brentq

from reliability.survival.root import falling_root

positive = st.floats(1e-6, 1e6)


@given(positive, positive)
@settings(deadline=None)
def test_a_straight_line_takes_a_few_steps(root: float, guess: float) -> None:
    asked = []

    def line(x: float) -> tuple[float, float]:
        asked.append(x)
        return math.log(root) - math.log(x), -1.0

    assert falling_root(line, guess) == pytest.approx(root, rel=1e-9)
    assert len(asked) < 25  # 28 powers of e lie between the furthest two, and a step covers two of them


@given(positive, positive, st.sampled_from([0.0, -1e-9, 3.0, math.nan]))
@settings(deadline=None)
def test_a_slope_that_leads_astray_costs_only_time(root: float, guess: float, slope: float) -> None:
    def wrong(x: float) -> tuple[float, float]:
        return math.atan(root - x), slope

    assert falling_root(wrong, guess) == pytest.approx(root, rel=1e-9)


@pytest.mark.parametrize("bend", [0.1, 1.0, 30.0, 400.0])
def test_it_is_the_root_of_scipy_however_the_function_bends(bend: float) -> None:
    def value(x: float) -> float:
        return math.tanh(bend * (1.7 - x)) + 0.3

    expected: float = brentq(value, 0.1, 50, xtol=1e-13)

    def steep(x: float) -> tuple[float, float]:
        return value(x), -x * bend / math.cosh(min(abs(bend * (1.7 - x)), 300)) ** 2

    for guess in (0.11, 1.6, 49.0):
        assert falling_root(steep, guess, 0.1, 50.0) == pytest.approx(expected, rel=1e-9)


def test_where_newton_would_swing_to_and_fro_it_halves() -> None:
    """Along a square root each step of Newton's leads as far to the other side, here 98 % as far."""
    asked = []

    def swinging(x: float) -> tuple[float, float]:
        off = math.log(5 / x)
        asked.append(x)
        return math.copysign(math.sqrt(abs(off)), off), -1 / (1.98 * math.sqrt(abs(off)))

    assert falling_root(swinging, 1.0) == pytest.approx(5.0, rel=1e-9)
    assert len(asked) < 100


def test_limits_are_never_tried() -> None:
    asked = []

    def only_inside(x: float) -> tuple[float, float]:
        asked.append(x)
        return 1.0 - x, -1e-3 * x  # a slope that leads far out

    assert falling_root(only_inside, 0.6, 0.5, 2.0) == pytest.approx(1.0)
    assert all(0.5 < x < 2.0 for x in asked)


def test_an_endless_value_only_tells_the_side() -> None:
    def cliff(x: float) -> tuple[float, float]:
        return (math.inf if x < 3 else -math.inf), 0.0

    assert falling_root(cliff, 1.0) == pytest.approx(3.0, rel=1e-9)
