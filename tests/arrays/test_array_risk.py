"""The risk of one rebuild: against cases counted by hand, scipy's distributions, and by its laws."""

from __future__ import annotations

import math
from itertools import product

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import binom, expon, poisson_binom

from reliability.arrays.array import Array
from reliability.arrays.rebuild import rebuild_risk, risk_by_chances
from reliability.arrays.tail import chance_of_at_least, chance_within
from reliability.errors import QuestionError

CHANCES = st.lists(st.floats(0, 1), min_size=1, max_size=12)
ARRAYS = st.builds(
    lambda parity, more, *rest: Array(parity + more, parity, *rest),
    st.integers(1, 4),
    st.integers(1, 20),
    st.floats(0.1, 60),
    st.floats(1, 500),
    st.one_of(st.just(0.0), st.floats(1e-18, 1e-12)),
)
RATES = st.floats(0, 2)


def test_thirty_terabytes_at_208_take_forty_hours() -> None:
    # 30e12 bytes / 208e6 bytes a second = 144,231 s
    assert Array(10, 1, 30, 208, 0).rebuild_hours == pytest.approx(144_230.77 / 3600, rel=1e-8)
    assert round(Array(10, 1, 30, 208, 0).rebuild_hours) == 40


@pytest.mark.parametrize(("error_rate", "expected"), [(1e-14, 0.999), (1e-15, 0.489), (1e-16, 0.065)])
def test_seven_drives_of_twelve_terabytes_to_read(error_rate: float, expected: float) -> None:
    # 6.72e14 bits, by hand: 1 - exp(-6.72), 1 - exp(-0.672), 1 - exp(-0.0672)
    array = Array(8, 1, 12, 200, error_rate)
    assert array.bits_read == pytest.approx(6.72e14)
    assert round(array.unreadable, 3) == expected
    assert array.unreadable == pytest.approx(expon.cdf(6.72e14 * error_rate), rel=1e-9)


@given(CHANCES, st.integers(0, 13))
def test_the_tail_is_the_sum_over_all_ways_to_fail(chances: list[float], count: int) -> None:
    few = chances[:8]
    ways = sum(
        math.prod(chance if fails else 1 - chance for chance, fails in zip(few, way, strict=True))
        for way in product((False, True), repeat=len(few))
        if sum(way) >= count
    )
    assert chance_of_at_least(count, few) == pytest.approx(ways, abs=1e-12)


@given(CHANCES, st.integers(1, 12))
def test_the_tail_is_that_of_scipy(chances: list[float], count: int) -> None:
    assert chance_of_at_least(count, chances) == pytest.approx(
        float(poisson_binom.sf(count - 1, chances)), abs=1e-9
    )


@given(st.integers(1, 40), st.integers(1, 5), st.floats(-30, -1))
def test_a_rare_tail_keeps_its_digits(drives: int, count: int, power: float) -> None:
    chance = 10**power
    assert chance_of_at_least(count, [chance] * drives) == pytest.approx(
        float(binom.sf(count - 1, drives, chance)), rel=1e-9
    )


def test_single_double_and_triple_parity_by_hand() -> None:
    chances, unreadable = [0.1, 0.2, 0.4], -math.expm1(4e13 * math.log1p(-1e-14))
    one = 1 - 0.9 * 0.8 * 0.6
    three = 0.1 * 0.2 * 0.4
    two = 0.1 * 0.2 * 0.6 + 0.1 * 0.8 * 0.4 + 0.9 * 0.2 * 0.4 + three
    for parity, lost, nearly in ((1, one, 1.0), (2, two, one), (3, three, two)):
        array = Array(4, parity, 5 / (4 - parity), 100, 1e-14)  # 4e13 bits to read in each
        risk = risk_by_chances(array, chances)
        assert risk.another_failure == pytest.approx(one)
        assert risk.unreadable == pytest.approx(unreadable)
        assert risk.loss == pytest.approx(lost + (nearly - lost) * unreadable)


@given(ARRAYS, RATES)
def test_chances_are_chances_and_loss_needs_a_failure_or_a_sector(array: Array, rate: float) -> None:
    risk = rebuild_risk(array, rate)
    for chance in (risk.another_failure, risk.unreadable, risk.loss):
        assert 0 <= chance <= 1 + 1e-12
    if array.parity == 1:
        assert risk.loss == pytest.approx(1 - (1 - risk.another_failure) * (1 - risk.unreadable), abs=1e-12)
    else:
        assert risk.loss <= risk.another_failure * (1 + 1e-12)


@given(ARRAYS, RATES)
def test_more_parity_never_raises_the_risk(array: Array, rate: float) -> None:
    rest = (array.capacity_tb, array.mb_per_s, array.error_rate)
    more = Array(array.drives + 1, array.parity + 1, *rest)  # the same data, one drive more to cover
    same_size = Array(max(array.drives, array.parity + 2), array.parity + 1, *rest)
    base = Array(same_size.drives, array.parity, *rest)
    assert rebuild_risk(same_size, rate).loss <= rebuild_risk(base, rate).loss * (1 + 1e-9)
    if chance_within(rate, array.rebuild_hours) * array.left < 0.5:  # beyond, one drive more may cost more
        assert rebuild_risk(more, rate).loss <= rebuild_risk(array, rate).loss * (1 + 1e-9)


@given(ARRAYS, RATES, st.floats(1, 20))
def test_more_hours_more_rate_and_more_errors_never_lower_it(array: Array, rate: float, times: float) -> None:
    loss = rebuild_risk(array, rate).loss * (1 - 1e-9)
    shape = (array.drives, array.parity, array.capacity_tb)
    assert rebuild_risk(Array(*shape, array.mb_per_s / times, array.error_rate), rate).loss >= loss
    assert rebuild_risk(Array(*shape, array.mb_per_s, times * array.error_rate), rate).loss >= loss
    assert rebuild_risk(array, times * rate).loss >= loss


@given(ARRAYS)
def test_drives_that_never_fail_lose_only_by_a_sector_without_parity_left(array: Array) -> None:
    risk = rebuild_risk(array, 0.0)
    assert risk.another_failure == 0
    assert risk.loss == (risk.unreadable if array.parity == 1 else 0)


@given(ARRAYS, RATES)
def test_without_errors_only_failures_lose(array: Array, rate: float) -> None:
    clean = Array(array.drives, array.parity, array.capacity_tb, array.mb_per_s, 0.0)
    risk = rebuild_risk(clean, rate)
    assert risk.unreadable == 0
    chance = chance_within(rate, clean.rebuild_hours)
    assert risk.loss == pytest.approx(float(binom.sf(array.parity - 1, array.left, chance)), abs=1e-12)


def test_a_rate_without_an_upper_limit_loses_for_certain() -> None:
    assert rebuild_risk(Array(4, 2, 10, 100, 0.0), math.inf).loss == 1


@pytest.mark.parametrize(
    ("ask", "says"),
    [
        (lambda: Array(10, 0, 30, 208, 0), "A parity of 0 leaves nothing to rebuild from"),
        (lambda: Array(2, 2, 30, 208, 0), "An array of 2 drives cannot have a parity of 2; give 3 drives"),
        (lambda: Array(1, 1, 30, 208, 0), "An array of 1 drives cannot have a parity of 1; give 2 drives"),
        (lambda: Array(1001, 1, 30, 208, 0), "An array of 1001 drives is larger than any single group"),
        (lambda: Array(10, 1, -30, 208, 0), "A capacity of -30 TB rebuilds nothing"),
        (lambda: Array(10, 1, 30, 0, 0), "A speed of 0 MB/s rebuilds nothing"),
        (lambda: Array(10, 1, math.nan, 208, 0), "A capacity of nan TB"),
        (lambda: Array(10, 1, 1e300, 1e-20, 0), "is beyond any drive; check both units"),
        (lambda: Array(10, 1, 1e-300, 208, 0), "is beyond any drive; check both units"),
        (lambda: Array(10, 1, 30, 208, 1), "An error rate of 1 a bit is no chance"),
        (lambda: Array(10, 1, 30, 208, -1e-15), "An error rate of -1e-15 a bit"),
        (lambda: rebuild_risk(Array(10, 1, 30, 208, 0), -0.1), "-0.1 failures per drive-year is no rate"),
        (lambda: risk_by_chances(Array(10, 1, 30, 208, 0), [0.1]), "1 chances were given for the 9 drives"),
    ],
)
def test_what_is_no_array_is_refused(ask: object, says: str) -> None:
    assert callable(ask)
    with pytest.raises(QuestionError, match=says):
        ask()
