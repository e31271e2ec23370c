"""Rates at one mix of ages: a published example, laws, refusals."""

from __future__ import annotations

import re

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import gamma

from reliability.comparer.standardised import Band, common_standard, directly_standardised
from reliability.errors import QuestionError
from reliability.rate import Rate

YOUNG: Band = (0, 365)
OLD: Band = (365, 730)
OLDEST: Band = (730, None)


def test_the_published_example() -> None:
    """Down's syndrome by mother's age in Michigan, fifth and later births, per 100,000 births.

    Counts: Stark & Mantel 1966, as tabulated by Fleiss 1981, table 14.4, the standard being all births; limits by the
    method of Fay & Feuer 1997, as the vignette of the R package dsrTest 1.0.0 prints them.
    """
    cases = (0, 8, 63, 112, 262, 295)
    births = (327, 30_666, 123_419, 149_919, 104_088, 34_392)
    standard = (319_933, 931_318, 786_511, 488_235, 237_863, 61_313)
    found = directly_standardised([Rate(x, 365 * t) for x, t in zip(cases, births, strict=True)], standard)
    per_100_000 = [1e5 * value for value in (found.per_year, found.interval.low, found.interval.high)]
    assert per_100_000 == pytest.approx([75.52901, 67.70212, 188.30017], abs=5e-6)


@given(st.lists(st.tuples(st.integers(0, 50), st.integers(1, 10**6)), min_size=1, max_size=8))
@settings(deadline=None)
def test_with_the_ages_of_the_standard_it_is_garwood(bands: list[tuple[int, int]]) -> None:
    rates = [Rate(x, t) for x, t in bands]
    crude = sum(rates, Rate(0, 0))
    found = directly_standardised(rates, [rate.drive_years for rate in rates])
    garwood = crude.interval()
    assert found.per_year == pytest.approx(crude.per_year, rel=1e-9)
    assert (found.interval.low, found.interval.high) == pytest.approx((garwood.low, garwood.high), rel=1e-6)


@given(
    st.lists(
        st.tuples(st.integers(0, 50), st.integers(1, 10**6), st.integers(1, 10**6)), min_size=1, max_size=8
    )
)
@settings(deadline=None)
def test_it_is_a_mean_of_the_bands_and_inside_its_limits(bands: list[tuple[int, int, int]]) -> None:
    rates = [Rate(x, t) for x, t, _ in bands]
    found = directly_standardised(rates, [share for _, _, share in bands])
    by_band = [rate.per_year or 0 for rate in rates]
    assert min(by_band) * (1 - 1e-9) <= found.per_year <= max(by_band) * (1 + 1e-9)
    assert found.interval.contains(found.per_year)
    wider = directly_standardised(rates, [share for _, _, share in bands], level=0.99).interval
    assert wider.low <= found.interval.low <= found.interval.high <= wider.high


@given(
    st.lists(st.tuples(st.integers(0, 50), st.integers(1, 10**6), st.integers(1, 9)), min_size=1, max_size=8)
)
@settings(deadline=None)
def test_limits_are_those_of_two_gamma_distributions(bands: list[tuple[int, int, int]]) -> None:
    """By scipy: mean and variance of the rate below, and above with one more failure in the heaviest band."""
    weights = np.array([365 * share / t for _, t, share in bands]) / sum(share for _, _, share in bands)
    failures = np.array([x for x, _, _ in bands])
    found = directly_standardised([Rate(x, t) for x, t, _ in bands], [share for _, _, share in bands])
    mean, variance = float(weights @ failures), float(weights**2 @ failures)
    more, wider = mean + weights.max(), variance + weights.max() ** 2
    low = gamma.ppf(0.025, mean**2 / variance, scale=variance / mean) if mean else 0.0
    high = gamma.ppf(0.975, more**2 / wider, scale=wider / more)
    assert found.per_year == pytest.approx(mean, rel=1e-9)
    assert (found.interval.low, found.interval.high) == pytest.approx((low, high), rel=1e-6)


def test_a_standard_with_a_band_that_is_empty_here_is_refused() -> None:
    with pytest.raises(QuestionError, match="1 of 2 age bands of the standard have no exposure here"):
        directly_standardised([Rate(1, 100), Rate(0, 0)], [1, 1])
    assert directly_standardised([Rate(1, 365), Rate(0, 0)], [1, 0]).per_year == 1  # not in the standard
    with pytest.raises(QuestionError, match="A standard of 0 exposure weighs nothing"):
        directly_standardised([Rate(1, 100)], [0])


def test_the_standard_is_the_pooled_exposure_of_shared_ages() -> None:
    one = {YOUNG: Rate(0, 3_650), OLD: Rate(0, 36_500)}
    two = {YOUNG: Rate(0, 36_500), OLD: Rate(0, 36_500), OLDEST: Rate(0, 3_650)}
    assert common_standard({"one": one, "two": two}) == pytest.approx({YOUNG: 110, OLD: 200})


def test_too_little_in_common_is_refused_by_name() -> None:
    old = {OLD: Rate(0, 36_500), OLDEST: Rate(0, 36_500)}
    young = {YOUNG: Rate(0, 9_000), OLD: Rate(0, 25_000)}  # of 180,000 drive-days 82,000 are not shared
    sentence = (
        "No rates at one mix of ages: 46 % of the exposure is at ages that not all 3 models have, and 20 % is the most "
        "to leave out; least like the others: young. Compare fewer models, of like ages."
    )
    with pytest.raises(QuestionError, match=re.escape(sentence)):
        common_standard({"old": old, "older": old, "young": young})
    with pytest.raises(QuestionError, match=r"100 % of the exposure .* least like the others: aged, young\."):
        common_standard({"aged": {OLDEST: Rate(0, 100)}, "young": {YOUNG: Rate(0, 100)}})
    with pytest.raises(QuestionError, match=r"least like the others: unknown\."):
        common_standard({"aged": {OLDEST: Rate(0, 100)}, "unknown": {}})


def test_a_fifth_may_be_left_out_and_no_more() -> None:
    shared = {YOUNG: Rate(0, 40_000)}
    assert common_standard({"a": shared, "b": shared | {OLD: Rate(0, 19_999)}}).keys() == {YOUNG}
    with pytest.raises(QuestionError, match="No rates at one mix of ages"):
        common_standard({"a": shared, "b": shared | {OLD: Rate(0, 20_001)}})


@pytest.mark.parametrize("models", [{}, {"A": {}}, {"A": {YOUNG: Rate(0, 0)}, "B": {}}])
def test_without_a_known_age_it_says_so(models: dict[str, dict[Band, Rate]]) -> None:
    with pytest.raises(QuestionError, match="no drive's age is known; load snapshots with power-on hours"):
        common_standard(models)
