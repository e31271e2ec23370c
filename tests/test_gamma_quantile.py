"""Quantiles in plain Python against those of scipy, over the counts and chances that limits are made of."""

from __future__ import annotations

import math

import pytest
from hypothesis import example, given
from hypothesis import strategies as st
from scipy.special import gammaincc, gammainccinv, gammaincinv

from reliability.gamma_quantile import above_with_chance, below_with_chance

SHAPES = st.integers(1, 50_000)
CHANCES = st.floats(1e-9, 1 - 1e-9)


@given(SHAPES, CHANCES)
@example(1, 1 - 1e-9)
@example(50_000, 1e-9)
@example(1, 1e-9)
def test_they_are_those_of_scipy(shape: int, chance: float) -> None:
    assert below_with_chance(shape, chance) == pytest.approx(gammaincinv(shape, chance), rel=1e-9)
    assert above_with_chance(shape, chance) == pytest.approx(gammainccinv(shape, chance), rel=1e-9)


@pytest.mark.parametrize("shape", [1, 2, 30, 1000, 1_000_000])
@pytest.mark.parametrize("chance", [0.001, 0.025, 0.05, 0.5, 0.95, 0.975])
def test_limits_in_use_agree_to_twelve_digits(shape: int, chance: float) -> None:
    assert below_with_chance(shape, chance) == pytest.approx(gammaincinv(shape, chance), rel=3e-12)
    assert above_with_chance(shape, chance) == pytest.approx(gammainccinv(shape, chance), rel=3e-12)


def test_far_tails_keep_their_digits() -> None:
    assert gammaincc(3, above_with_chance(3, 1e-200)) == pytest.approx(1e-200, rel=1e-10)
    assert below_with_chance(2, 1e-200) == pytest.approx(math.sqrt(2) * 1e-100)  # P = m^2 / 2 near 0


def test_certain_and_impossible_lie_at_the_ends() -> None:
    assert (below_with_chance(3, 0.0), below_with_chance(3, 1.0)) == (0, math.inf)
    assert (above_with_chance(3, 0.0), above_with_chance(3, 1.0)) == (math.inf, 0)
