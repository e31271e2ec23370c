"""Lambert's W of scipy is the authority, and the equation itself where W has too few digits."""

from __future__ import annotations

import math

import pytest
from hypothesis import example, given
from hypothesis import strategies as st
from scipy.special import lambertw

from reliability.survival.fall import log_ratio

SIDES = pytest.mark.parametrize("side", [-1, 1])


@SIDES
@given(st.floats(1e-3, 500))
@example(500.0)
def test_it_is_the_w_of_lambert(side: int, fall: float) -> None:
    found = log_ratio(fall, side)
    w = -lambertw(-math.exp(-1 - fall), 0 if side < 0 else -1).real
    assert math.exp(found) == pytest.approx(w, rel=1e-9)


@SIDES
@pytest.mark.parametrize("fall", [1e-4, 1e-8, 1e-11, 1e-12, 1e-15, 1e-18, 1e-24, 1e-300])
def test_close_to_the_top_it_is_a_parabola(side: int, fall: float) -> None:
    root = side * math.sqrt(2 * fall)
    assert log_ratio(fall, side) == pytest.approx(root - root**2 / 6, rel=fall + 1e-10, abs=0)


@given(st.floats(500, 1e300))
def test_a_far_fall_is_nearly_the_ratio_itself_upwards_and_its_own_logarithm_downwards(fall: float) -> None:
    upwards, downwards = log_ratio(fall, 1), log_ratio(fall, -1)
    assert upwards == pytest.approx(math.log(fall + 1 + upwards), rel=1e-12)
    assert downwards == pytest.approx(-1 - fall, rel=1e-12)


@SIDES
def test_at_the_top_both_sides_meet(side: int) -> None:
    assert log_ratio(0.0, side) == 0
