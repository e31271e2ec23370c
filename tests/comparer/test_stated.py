"""Observed against stated: verdicts, words, exposure still needed; outside values by scipy."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import chi2, poisson

from reliability.comparer.stated import Verdict, compare, verdict_of
from reliability.errors import QuestionError
from reliability.interval import Interval
from reliability.rate import Rate

LOOK = " (single planned look)"


def observed(failures: int, drive_years: float) -> Rate:
    return Rate(failures, 365 * drive_years)


# Limits of 12 failures by chi-square are 6.20 and 20.96, so each row below can be checked by hand.
@pytest.mark.parametrize(
    ("failures", "drive_years", "verdict", "words"),
    [
        (
            12,
            1_000,
            Verdict.WORSE,
            (
                "Worse than the datasheet: 12 failures in 1,000 drive-years, "
                "AFR 1.2 % (95 % 0.620-2.10 %), stated 0.35 %."
            ),
        ),
        (
            12,
            10_000,
            Verdict.BETTER,
            (
                "Better than the datasheet: 12 failures in 10,000 drive-years, "
                "AFR 0.12 % (95 % 0.0620-0.210 %), stated 0.35 %."
            ),
        ),
        (
            12,
            4_000,
            Verdict.CONSISTENT,
            (
                "Consistent with the datasheet: AFR 0.30 % (0.155-0.524 %), stated 0.35 %; "
                "twice the stated rate is excluded."
            ),
        ),
        (
            12,
            2_000,
            Verdict.TOO_LITTLE,
            (
                "Too little exposure to say: AFR 0.60 % (0.310-1.05 %) includes both the stated 0.35 % "
                "and twice that. Would need about 4,200 more drive-years."
            ),
        ),
        (
            1,
            90 / 365,
            Verdict.WORSE,
            (
                "Worse than the datasheet: 1 failure in 0.25 drive-years, "
                "AFR 410 % (95 % 10.3-2,260 %), stated 0.35 %."
            ),
        ),
    ],
)
def test_the_four_verdicts_in_their_words(
    failures: int, drive_years: float, verdict: Verdict, words: str
) -> None:
    comparison = compare(observed(failures, drive_years), 0.0035)
    assert comparison.verdict is verdict
    assert comparison.sentence == words + LOOK
    assert (comparison.more_drive_years is None) == (verdict is not Verdict.TOO_LITTLE)


# Without a failure the two-sided limit is 3.689 / T, the one-sided one 2.996 / T.
@pytest.mark.parametrize(
    ("drive_years", "words"),
    [
        (
            12,
            (
                "No failure in 12 drive-years; AFR at most 25.0 % (one-sided 95 %). "
                "Too little exposure to say: AFR 0 % (0-30.7 %) "
                "includes both the stated 0.35 % and twice that. "
                "Would need about 3,900 more drive-years."
            ),
        ),
        (
            856,
            (
                "No failure in 856 drive-years; AFR at most 0.350 % (one-sided 95 %). "
                "Consistent with the datasheet: AFR 0 % (0-0.431 %), stated 0.35 %; "
                "twice the stated rate is excluded."
            ),
        ),
        (
            2_000,
            (
                "No failure in 2,000 drive-years; AFR at most 0.150 % (one-sided 95 %). "
                "Better than the datasheet: 0 failures in 2,000 drive-years, "
                "AFR 0 % (95 % 0-0.184 %), stated 0.35 %."
            ),
        ),
    ],
)
def test_without_a_failure_the_one_sided_limit_stands_first(drive_years: float, words: str) -> None:
    assert compare(observed(0, drive_years), 0.0035).sentence == words + LOOK


def test_without_exposure_there_is_only_what_it_would_take() -> None:
    comparison = compare(Rate(0, 0), 0.00876)
    assert comparison.sentence == (
        "Too little exposure to say: no exposure, stated 0.88 %. Would need about 1,600 more drive-years."
        + LOOK
    )
    assert comparison.verdict is Verdict.TOO_LITTLE
    assert (comparison.expected_failures, comparison.p_value) == (0, 1)
    assert (comparison.interval.low, comparison.interval.high) == (0, math.inf)


def test_one_drive_day_is_a_rate_as_any_other() -> None:
    assert compare(Rate(0, 1), 0.0035).verdict is Verdict.TOO_LITTLE
    assert compare(Rate(1, 1), 0.0035).verdict is Verdict.WORSE


def test_all_failed() -> None:
    assert compare(Rate(12, 12 * 365), 0.0035).verdict is Verdict.WORSE


def test_other_levels_ratios_and_looks_are_worded_as_they_are() -> None:
    assert compare(observed(12, 4_000), 0.0035, ratio=3).sentence.endswith(
        "; 3 times the stated rate is excluded." + LOOK
    )
    assert (
        "includes both the stated 0.35 % and 1.5 times that."
        in compare(observed(12, 3_000), 0.0035, ratio=1.5).sentence
    )
    assert "(90 % 0.692-1.94 %)" in compare(observed(12, 1_000), 0.0035, level=0.9).sentence
    assert "(one-sided 90 %)" in compare(observed(0, 1_000), 0.0035, level=0.9).sentence
    assert compare(observed(12, 1_000), 0.0035, look="valid at every look").sentence.endswith(
        "(valid at every look)"
    )


@pytest.mark.parametrize(
    ("low", "high", "verdict"),
    [
        (1.001, 9.0, Verdict.WORSE),
        (1.0, 9.0, Verdict.TOO_LITTLE),  # a limit equal to the stated rate does not exclude it
        (1.0, 1.999, Verdict.CONSISTENT),
        (0.5, 2.0, Verdict.TOO_LITTLE),  # nor one equal to twice that
        (0.2, 1.0, Verdict.CONSISTENT),
        (0.2, 0.999, Verdict.BETTER),
    ],
)
def test_ties(low: float, high: float, verdict: Verdict) -> None:
    assert verdict_of(Interval(low, high), 1.0) is verdict


def test_the_values_that_programs_read() -> None:
    assert [verdict.value for verdict in Verdict] == ["worse", "better", "consistent", "too little"]


@given(st.integers(0, 300), st.floats(0.01, 100_000), st.floats(1e-4, 1))
@settings(deadline=None)
def test_limits_p_value_and_verdict_tell_one_story(failures: int, drive_years: float, stated: float) -> None:
    comparison = compare(observed(failures, drive_years), stated)
    expected = comparison.expected_failures
    assert expected == pytest.approx(stated * drive_years)
    at_least, at_most = poisson.sf(failures - 1, expected), poisson.cdf(failures, expected)
    assert comparison.p_value == pytest.approx(min(1.0, 2 * min(at_least, at_most)), rel=1e-7, abs=1e-300)
    worse, better = comparison.verdict is Verdict.WORSE, comparison.verdict is Verdict.BETTER
    if abs(comparison.p_value - 0.05) > 1e-9:
        assert worse == (at_least < 0.025)
        assert better == (at_most < 0.025)
        assert (worse or better) == (comparison.p_value < 0.05)
    if comparison.verdict is Verdict.CONSISTENT:  # then a model that fails twice as often is excluded
        assert poisson.cdf(failures, 2 * expected) <= 0.025 + 1e-9


@pytest.mark.parametrize(
    ("stated", "more"),
    [(0.0035, 3_900), (0.00876, 1_600)],  # 3890 and 1550 drive-years, rounded up
)
def test_planning_from_nothing(stated: float, more: float) -> None:
    assert compare(Rate(0, 0), stated).more_drive_years == more


@pytest.mark.parametrize("truth", [1, 2])
@pytest.mark.parametrize(
    ("failures", "drive_years"), [(0, 0), (0, 12), (1, 300), (4, 1_000), (12, 2_000), (20, 3_515)]
)
def test_with_so_many_more_a_definite_verdict_is_likely(
    failures: int, drive_years: float, truth: float
) -> None:
    """Adds up, over all counts to come, the chance of a definite verdict for either truth."""
    stated = 0.0035
    more = compare(observed(failures, drive_years), stated).more_drive_years
    assert more is not None
    for total in np.geomspace(drive_years + more, 1.25 * (drive_years + more), 12):
        further = np.arange(150)
        low = np.concatenate(([0.0], chi2.ppf(0.025, 2 * (failures + further[1:])) / 2))
        if failures:
            low[0] = chi2.ppf(0.025, 2 * failures) / 2
        high = chi2.ppf(0.975, 2 * (failures + further) + 2) / 2
        definite = (low > stated * total) | (high < 2 * stated * total)
        chances = poisson.pmf(further, truth * stated * (total - drive_years))
        assert chances[definite].sum() >= 0.8


@pytest.mark.parametrize("stated", [0, -0.0035, math.nan, math.inf])
def test_a_stated_rate_is_above_zero(stated: float) -> None:
    with pytest.raises(QuestionError, match=f"A stated rate of {stated} failures per drive-year is none"):
        compare(Rate(1, 365), stated)


@pytest.mark.parametrize("ratio", [1, 0.5, math.inf, math.nan])
def test_a_ratio_is_an_excess(ratio: float) -> None:
    with pytest.raises(QuestionError, match=f"A ratio of {ratio} is no excess over the stated rate"):
        compare(Rate(1, 365), 0.0035, ratio=ratio)
