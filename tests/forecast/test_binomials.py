"""Counts of failures with unlike chances, against plain convolution of one drive after the other."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import binom

from reliability.forecast.binomials import mixed_binomials


def one_drive_after_the_other(chances: list[float]) -> np.ndarray:
    """The exact distribution: each drive either fails or does not."""
    found = np.array([1.0])
    for chance in chances:
        found = np.convolve(found, [1 - chance, chance])
    return found


def apart(chances: list[float]) -> float:
    """Total variation between ours and the exact distribution."""
    ours = mixed_binomials(np.array([chances]), np.ones(len(chances), dtype=np.int64)).chances
    exact = one_drive_after_the_other(chances)
    assert ours.size <= exact.size  # no more fail than there are
    return float(np.abs(np.pad(ours, (0, exact.size - ours.size)) - exact).sum() / 2)


@given(st.integers(1, 60), st.just(0.0) | st.floats(1e-12, 1))
def test_equal_chances_are_exactly_binomial(drives: int, chance: float) -> None:
    assert apart([chance] * drives) < 1e-9
    ours = mixed_binomials(np.array([[chance]]), np.array([drives])).chances
    assert ours == pytest.approx(binom.pmf(np.arange(ours.size), drives, chance), abs=1e-9)


@given(st.lists(st.floats(0, 0.1), min_size=1, max_size=80))
def test_small_chances_of_any_kind_are_within_a_hundredth(chances: list[float]) -> None:
    assert apart(chances) < 0.01


@pytest.mark.parametrize("drives", [12, 100, 300])
def test_chances_that_differ_a_hundredfold_are_within_two_hundredths(drives: int) -> None:
    chances = np.geomspace(0.005, 0.5, drives).tolist()
    assert apart(chances) < 0.02
    rng = np.random.default_rng(1)
    assert apart(rng.permutation(chances).tolist()) == pytest.approx(apart(chances), abs=1e-9)


@given(st.lists(st.floats(0, 1), min_size=1, max_size=40))
def test_the_mean_is_exact_and_the_spread_never_below_the_true_one(chances: list[float]) -> None:
    ours = mixed_binomials(np.array([chances]), np.ones(len(chances), dtype=np.int64))
    assert ours.mean == pytest.approx(sum(chances), abs=1e-6)
    variance = float(ours.chances @ (np.arange(ours.chances.size) - ours.mean) ** 2)
    assert variance >= sum(chance * (1 - chance) for chance in chances) - 1e-6


def test_a_mixture_is_the_average_of_its_draws_also_where_one_cannot_fail() -> None:
    drives = np.array([10, 5])
    draws = np.array([[0.1, 0.1], [0.4, 0.4], [0.0, 0.0]])
    found = mixed_binomials(draws, drives).chances
    parts = [binom.pmf(np.arange(16), 15, chance) for chance in (0.1, 0.4, 0.0)]
    assert found == pytest.approx(np.mean(parts, axis=0), abs=1e-12)


def test_nothing_can_fail_without_drives_or_chances() -> None:
    assert mixed_binomials(np.zeros((3, 2)), np.array([5, 6])).chances.tolist() == [1.0]
    assert mixed_binomials(np.full((3, 1), 0.5), np.array([0])).chances.tolist() == [1.0]


def test_large_fleets_have_the_normal_spread() -> None:
    counts = mixed_binomials(np.array([[0.02]]), np.array([300_000]))
    limits = counts.limits()
    reach = 1.96 * np.sqrt(300_000 * 0.02 * 0.98)
    assert limits.low == pytest.approx(6_000 - reach, abs=2)
    assert limits.high == pytest.approx(6_000 + reach, abs=2)
