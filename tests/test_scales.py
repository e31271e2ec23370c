from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from reliability.rate import Rate
from reliability.scales import FEW, FURTHEST, ratio_scale, round_rates, top_from_zero
from reliability.units import DAYS_PER_YEAR

rates = st.lists(st.builds(Rate, failures=st.integers(0, 40), drive_days=st.integers(60, 10**8)), max_size=6)
stated = st.floats(0.0005, 0.2)


@given(rates, st.lists(st.none() | stated, max_size=6))
@settings(deadline=None)
def test_every_rate_and_every_stated_rate_lies_inside_a_ratio_scale(
    rates: list[Rate], stated: list[float | None]
) -> None:
    low, high = ratio_scale(rates, stated, level=0.95, ratio=2.0)
    assert 0 < low < high < math.inf
    for rate in rates:
        assert not rate.per_year or low < rate.per_year < high
    for each in stated:
        assert each is None or low < each < 2 * each < high


@given(rates, st.none() | stated)
@settings(deadline=None)
def test_a_scale_from_zero_holds_the_stated_rate_twice_and_every_estimate_from_more_than_a_few(
    rates: list[Rate], stated: float | None
) -> None:
    top = top_from_zero(rates, stated, level=0.95, ratio=2.0)
    assert 0 < top < math.inf
    assert stated is None or 2 * stated < top
    assert all(rate.per_year < top for rate in rates if rate.per_year and rate.failures > FEW)


def test_limits_alone_do_not_flatten_what_is_stated() -> None:
    hardly_seen = [Rate(0, 91 * 12)] * 3  # upper limit 123 % a year
    assert top_from_zero(hardly_seen, 0.004, level=0.95, ratio=2.0) < 0.004 * FURTHEST * 1.3
    _, high = ratio_scale(hardly_seen, [0.004] * 3, level=0.95, ratio=2.0)
    assert high < 0.008 * FURTHEST * 1.3


def test_without_failures_and_datasheets_the_upper_limit_makes_the_scale() -> None:
    low, high = ratio_scale([Rate(0, 100 * DAYS_PER_YEAR)], [None], level=0.95, ratio=2.0)
    assert low < 3.689 / 100 < high  # 3.689: the upper limit for no failure, Garwood's table


def test_without_anything_there_is_still_a_scale() -> None:
    low, high = ratio_scale([], [], level=0.95, ratio=2.0)
    assert 0 < low < high
    assert top_from_zero([], None, level=0.95, ratio=2.0) == 1.0
    assert top_from_zero([Rate(0, 0)], None, level=0.95, ratio=2.0) == 1.0


@given(st.floats(1e-6, 1.0), st.floats(1.5, 1e5), st.integers(3, 12))
def test_round_rates_lie_on_the_scale_and_have_one_digit(low: float, width: float, most: int) -> None:
    high = low * width
    ticks = round_rates(low, high, most=most)
    assert ticks == sorted(tick for tick in ticks if low <= tick <= high)
    for tick in ticks:
        digit = tick / 10 ** math.floor(math.log10(tick) + 1e-9)
        assert digit == pytest.approx(round(digit))
