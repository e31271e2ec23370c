"""Loss over the years: against scipy's matrix exponential, closed forms, and arrays played through."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.linalg import expm

from reliability.arrays.array import Array
from reliability.arrays.chain import Chain, chain_of, loss_within
from reliability.arrays.rebuild import rebuild_risk
from reliability.errors import QuestionError

CHAINS = st.builds(
    lambda parity, more, **rest: chain_of(parity + more, parity, **rest),
    st.integers(0, 4),
    st.integers(1, 10),
    failures_per_hour=st.floats(1e-7, 1e-2),
    rebuild_hours=st.floats(1, 500),
    unreadable=st.floats(0, 1),
    side_by_side=st.booleans(),
)


def generator(chain: Chain) -> np.ndarray[tuple[int, int], np.dtype[np.float64]]:
    size = len(chain.failing)
    rates = np.zeros((size + 1, size + 1))
    for state, (up, down) in enumerate(zip(chain.failing, chain.mending, strict=True)):
        rates[state, state + 1], rates[state, state] = up, -up - down
        if state:
            rates[state, state - 1] = down
    if size > 1:
        share = chain.unreadable * rates[size - 2, size - 1]
        rates[size - 2, size - 1] -= share
        rates[size - 2, size] += share
    return rates


@given(CHAINS, st.floats(0, 5000))
def test_the_chance_is_that_of_the_matrix_exponential(chain: Chain, hours: float) -> None:
    found = chain.chance_of_loss(hours)
    assert 0 <= found <= 1
    assert found == pytest.approx(expm(generator(chain) * hours)[0, -1], rel=1e-6, abs=1e-12)


@given(CHAINS)
def test_the_mean_time_solves_the_chain(chain: Chain) -> None:
    """One of the linear equations, by numpy, where they can still be solved with digits to spare."""
    size = len(chain.failing)
    if chain.mean_hours_to_loss() < 1e12:
        solved = np.linalg.solve(-generator(chain)[:size, :size], np.ones(size))[0]
        assert chain.mean_hours_to_loss() == pytest.approx(solved, rel=1e-3)


@pytest.mark.parametrize("parity", [1, 2, 3])
def test_a_rare_loss_comes_at_the_rate_of_its_mean_time(parity: int) -> None:
    """After a few rebuild times the loss is exponential; so small that 1 - x would see nothing of it."""
    chain = chain_of(8, parity, failures_per_hour=1e-7, rebuild_hours=0.5)
    expected = 43_800 / chain.mean_hours_to_loss()
    assert expected < 10.0 ** (-5 * parity)
    assert chain.chance_of_loss(43_800) == pytest.approx(expected, rel=1e-3)


def test_a_loss_so_rare_that_a_difference_from_one_sees_none_keeps_its_digits() -> None:
    chain = chain_of(12, 3, failures_per_hour=1e-7, rebuild_hours=1e-4)
    assert chain.chance_of_loss(43_800) == pytest.approx(43_800 / chain.mean_hours_to_loss(), rel=1e-6)
    assert chain.chance_of_loss(43_800) < 1e-30


@given(st.integers(1, 50), st.floats(1e-8, 1e-3), st.floats(0, 1e5))
def test_without_parity_the_first_failure_loses(drives: int, rate: float, hours: float) -> None:
    chain = chain_of(drives, 0, failures_per_hour=rate, rebuild_hours=10)
    assert chain.chance_of_loss(hours) == pytest.approx(-math.expm1(-drives * rate * hours), rel=1e-9)


def played(array: Array, rate: float, years: float, rng: np.random.Generator) -> bool:
    """Whether an array loses data, event by event."""
    now, failed, hazard = 0.0, 0, rate / 8760
    while True:
        fails = rng.exponential(1 / ((array.drives - failed) * hazard))
        mends = rng.exponential(array.rebuild_hours) if failed else math.inf
        now += min(fails, mends)
        if now > years * 8760:
            return False
        if fails < mends:
            failed += 1
            if failed > array.parity or (failed == array.parity and rng.random() < array.unreadable):
                return True
        else:
            failed -= 1


@pytest.mark.parametrize("parity", [1, 2])
def test_arrays_played_through_lose_as_often_as_computed(parity: int) -> None:
    rng = np.random.default_rng(20260930)
    array = Array(8, parity, 20, 20, 3e-16)
    losses = np.mean([played(array, 0.3, 2, rng) for _ in range(4000)])
    # four standard errors of 4,000 arrays
    chance = loss_within(array, 0.3, 2)
    assert 0.05 < chance < 0.95
    assert losses == pytest.approx(chance, abs=4 * math.sqrt(chance * (1 - chance) / 4000))


@pytest.mark.parametrize("parity", [1, 2])
def test_a_year_is_the_rebuilds_of_a_year(parity: int) -> None:
    """At a low rate: failures expected in a year times the risk of each rebuild, two ways to one figure."""
    array, rate = Array(10, parity, 30, 208, 1e-17), 0.001
    expected = array.drives * rate * rebuild_risk(array, rate).loss
    assert loss_within(array, rate, 1) == pytest.approx(expected, rel=0.02)


@given(st.integers(1, 3), st.floats(0.001, 0.5), st.floats(0.1, 10), st.floats(1, 5))
def test_more_years_more_rate_and_more_hours_never_lower_it(
    parity: int, rate: float, years: float, times: float
) -> None:
    array = Array(8, parity, 20, 150, 1e-16)
    slower = Array(8, parity, 20, 150 / times, 1e-16)
    loss = loss_within(array, rate, years) * (1 - 1e-9)
    assert loss_within(array, rate, times * years) >= loss
    assert loss_within(array, times * rate, years) >= loss
    assert loss_within(slower, rate, years) >= loss
    assert loss_within(Array(8, parity + 1, 20, 150, 1e-16), rate, years) <= loss * (1 + 1e-6)


def test_at_the_edges() -> None:
    array = Array(3, 2, 20, 150, 1e-15)
    assert loss_within(array, 0.0, 5) == 0
    assert loss_within(array, 0.01, 0) == 0
    assert loss_within(array, 0.01, 1e300) == 1
    assert loss_within(array, math.inf, 1) == 1
    assert loss_within(array, math.inf, 0) == 0
    assert chain_of(3, 1, failures_per_hour=0, rebuild_hours=1).mean_hours_to_loss() == math.inf


@pytest.mark.parametrize(
    ("ask", "says"),
    [
        (lambda: loss_within(Array(3, 2, 20, 150, 0), -1, 1), "-1 failures per drive-year is no rate"),
        (lambda: loss_within(Array(3, 2, 20, 150, 0), 0.1, -1), "A time of -1 years is none"),
        (lambda: Chain((1.0,), (0.0,)).chance_of_loss(math.nan), "A time of nan hours is none"),
    ],
)
def test_what_is_no_time_or_rate_is_refused(ask: object, says: str) -> None:
    assert callable(ask)
    with pytest.raises(QuestionError, match=says):
        ask()
