"""Two groups against each other: scipy and statsmodels as outside checks, laws, words."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import binomtest
from statsmodels.stats.rates import test_poisson_2indep as two_sample_test

from reliability.comparer.ratios import exact_ratio, ratio_by_age
from reliability.errors import QuestionError
from reliability.rate import Rate

COUNTS = st.integers(0, 200)
DAYS = st.integers(1, 10**7)


@given(COUNTS, DAYS, COUNTS, DAYS)
@settings(deadline=None)
def test_limits_are_those_of_the_binomial_share(x1: int, t1: int, x2: int, t2: int) -> None:
    found = exact_ratio(Rate(x1, t1), Rate(x2, t2))
    if not x1 + x2:
        assert (found.value, found.p_value) == (None, None)
        return
    share = t1 / (t1 + t2)
    theirs = binomtest(x1, x1 + x2, share).proportion_ci(method="exact")
    odds = [limit / (1 - limit) * t2 / t1 if limit < 1 else math.inf for limit in (theirs.low, theirs.high)]
    assert (found.interval.low, found.interval.high) == pytest.approx(odds, rel=1e-6)
    tails = [binomtest(x1, x1 + x2, share, alternative=side).pvalue for side in ("less", "greater")]
    assert found.p_value == pytest.approx(min(1.0, 2 * min(tails)), rel=1e-6, abs=1e-300)
    assert found.excludes_one == (found.p_value is not None and found.p_value < 0.05)


@given(COUNTS, DAYS, COUNTS, DAYS)
@settings(deadline=None)
def test_a_swap_inverts_the_ratio(x1: int, t1: int, x2: int, t2: int) -> None:
    forth, back = exact_ratio(Rate(x1, t1), Rate(x2, t2)), exact_ratio(Rate(x2, t2), Rate(x1, t1))
    inverted = [1 / limit if limit else math.inf for limit in (back.interval.high, back.interval.low)]
    assert (forth.interval.low, forth.interval.high) == pytest.approx(inverted, rel=1e-9)
    assert (forth.p_value is None) == (back.p_value is None) == (not x1 + x2)
    if x1 and x2:
        assert forth.p_value == pytest.approx(back.p_value, rel=1e-9)
        assert forth.value == pytest.approx(1 / (back.value or math.nan), rel=1e-9)


def test_the_one_sided_tail_is_the_conditional_test_of_statsmodels() -> None:
    theirs = two_sample_test(11, 800, 21, 3011, method="exact-cond", alternative="larger")
    found = exact_ratio(Rate(11, 800), Rate(21, 3011))
    assert found.p_value == pytest.approx(2 * theirs.pvalue, rel=1e-9)


@given(st.lists(st.tuples(st.integers(1, 60), DAYS, st.integers(1, 60), DAYS), min_size=1, max_size=6))
@settings(deadline=None)
def test_by_age_is_the_mantel_haenszel_sum(bands: list[tuple[int, int, int, int]]) -> None:
    """By hand: R = sum x1 T2 / T, S = sum x2 T1 / T, variance of log R/S = sum (x1 + x2) T1 T2 / T^2 / RS."""
    first, second = [Rate(x, t) for x, t, _, _ in bands], [Rate(x, t) for _, _, x, t in bands]
    found = ratio_by_age(first, second, least=1)
    r = sum(x1 * (t2 / (t1 + t2)) for x1, t1, _, t2 in bands)
    s = sum(x2 * (t1 / (t1 + t2)) for _, t1, x2, t2 in bands)
    v = sum((x1 + x2) * (t1 / (t1 + t2)) * (t2 / (t1 + t2)) for x1, t1, x2, t2 in bands) / (r * s)
    assert found is not None
    assert found.value == pytest.approx(r / s, rel=1e-9)
    assert math.log(found.interval.high / found.interval.low) == pytest.approx(
        2 * 1.959964 * math.sqrt(v), rel=1e-6
    )
    swapped = ratio_by_age(second, first, least=1)
    assert swapped is not None
    assert swapped.value == pytest.approx(s / r, rel=1e-9)
    assert found.p_value == pytest.approx(swapped.p_value, rel=1e-6, abs=1e-12)


def test_one_band_is_the_crude_ratio_with_the_wald_error_of_a_regression() -> None:
    """41/28010 against 15/19017: sqrt(1/41 + 1/15) = 0.301756 is also the entry two_group_poisson."""
    found = ratio_by_age([Rate(41, 28_010)], [Rate(15, 19_017)])
    assert found is not None
    assert math.log(found.value or 0) == pytest.approx(0.6182935923)
    assert math.log(found.interval.high / (found.value or 0)) / 1.959963985 == pytest.approx(0.301756376186)


def test_ages_can_turn_a_ratio_round() -> None:
    """The first is better at either age, and looks worse only because it is older."""
    first = [Rate(5, 36_500), Rate(90, 365_000)]
    second = [Rate(60, 365_000), Rate(10, 36_500)]
    crude, by_age = exact_ratio(sum(first, Rate(0, 0)), sum(second, Rate(0, 0))), ratio_by_age(first, second)
    assert by_age is not None
    assert crude.value is not None
    assert by_age.value is not None
    assert by_age.value < 1 < crude.value


def test_five_failures_on_each_side_are_needed_at_shared_ages() -> None:
    enough, few = Rate(5, 36_500), Rate(4, 36_500)
    assert ratio_by_age([enough], [enough]) is not None
    assert ratio_by_age([enough], [few]) is None
    assert ratio_by_age([enough, Rate(0, 0)], [Rate(0, 0), enough]) is None  # no age is shared
    assert ratio_by_age([], []) is None


@pytest.mark.parametrize(
    ("first", "second", "words"),
    [
        (Rate(20, 365_000), Rate(5, 365_000), "A fails 4.0 times as often as B (1.46-13.6)."),
        (Rate(5, 365_000), Rate(20, 365_000), "A fails 0.25 times as often as B (0.0733-0.686)."),
        (Rate(11, 800), Rate(21, 3011), "No difference shown; the data allow 0.858 to 4.28 times."),
        (Rate(0, 100), Rate(5, 100), "No difference shown; the data allow 0 to 1.09 times."),
        (
            Rate(5, 100),
            Rate(0, 100),
            "No difference shown; the data allow 0.916 times and more, without limit.",
        ),
        (Rate(6, 100), Rate(0, 100), "A fails at least 1.18 times as often as B, which had no failure."),
        (Rate(0, 100), Rate(0, 100), "No failures in either, nothing to compare."),
    ],
)
def test_words(first: Rate, second: Rate, words: str) -> None:
    assert exact_ratio(first, second).in_words("A", "B") == words


def test_without_exposure_there_is_no_ratio() -> None:
    with pytest.raises(QuestionError, match="One of the two was never at risk"):
        exact_ratio(Rate(3, 100), Rate(0, 0))
