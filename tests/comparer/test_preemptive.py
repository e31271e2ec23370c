"""Rates with drives retired for warning signs as failures: by Garwood's limits, from the Poisson tails themselves."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.random import default_rng
from scipy.stats import poisson

from reliability.comparer.preemptive import preemptive_bounds
from reliability.comparer.stated import Verdict
from reliability.errors import QuestionError
from reliability.rate import Rate


@given(
    failures=st.integers(0, 60),
    count=st.integers(0, 40),
    years=st.integers(1, 40_000),
    stated=st.floats(1e-4, 1.0) | st.none(),
)
def test_only_the_failures_change(failures: int, count: int, years: int, stated: float | None) -> None:
    rate = Rate(failures, 365 * years)
    found = preemptive_bounds(rate, count, stated)
    assert found.without.failures == failures
    assert found.without.interval == rate.interval()
    assert found.counted.failures == failures + count
    high, low = found.counted.interval.high * years, found.counted.interval.low * years
    assert poisson.cdf(failures + count, high) == pytest.approx(0.025, rel=1e-9)
    if failures + count:
        assert poisson.sf(failures + count - 1, low) == pytest.approx(0.025, rel=1e-9)
    assert found.depends == (found.without.verdict is not found.counted.verdict)
    if count == 0:
        assert (found.depends, found.sentence) == (False, None)
        assert found.without == found.counted


def test_the_verdict_in_words() -> None:
    rate = Rate(30, 3_650_000)
    assert preemptive_bounds(rate, 22, 0.0035).sentence == (
        "Depends on the 22 pre-emptive retirements: as failures AFR 0.52 % (0.388-0.682 %, worse), "
        "which would be worse than the datasheet."
    )
    assert preemptive_bounds(rate, 1, 0.0035).sentence == (
        "Does not depend on the 1 pre-emptive retirement: as failures AFR 0.31 % (0.211-0.440 %, consistent)."
    )
    assert preemptive_bounds(rate, 1, None).sentence == (
        "1 pre-emptive retirement; as failures: AFR 0.31 % (0.211-0.440 %)."
    )


def test_without_exposure_there_is_no_rate() -> None:
    found = preemptive_bounds(Rate(0, 0), 0, 0.0035)
    assert (found.without.per_year, found.counted.verdict) == (None, Verdict.TOO_LITTLE)


def test_reasons_that_nobody_explained_are_named_the_most_frequent_first() -> None:
    unclear = ((None, 2), ("a", 1), ("b", 7), ("c", 1), ("d", 1))
    assert preemptive_bounds(Rate(0, 365), 0, None, unclear=unclear).unclear_sentence == (
        "Counted as planned, for the log does not tell: 12 retirements (7 'b', 2 without a reason, 1 'a', "
        "and 2 other reasons). Name such reasons in a mapping, under [retired]."
    )
    assert preemptive_bounds(Rate(0, 365), 0, None).unclear_sentence is None


def test_a_reason_is_cut_and_its_control_characters_are_written_out() -> None:
    reason = "\x1b[31m" + 100 * "x"
    told = preemptive_bounds(Rate(0, 365), 0, None, unclear=((reason, 1),)).unclear_sentence
    assert told is not None
    assert "(1 '\\x1b[31m" + 52 * "x" + "...')" in told


@pytest.mark.parametrize("count", [-1, 1.5, math.nan, math.inf])
def test_only_whole_drives_can_be_retired_and_none_at_least(count: float) -> None:
    with pytest.raises(QuestionError, match=f"^{count} drives cannot have been retired; give a whole number"):
        preemptive_bounds(Rate(0, 365), count, None)  # type: ignore[arg-type]  # that it is refused is tested


def test_rates_with_and_without_hold_between_them_the_rate_of_drives_that_nobody_pulled() -> None:
    """Drives that warn before they fail, half of them pulled, in 400 fleets of 2,000 drives for a year.

    The true rate is 2 % a year, a third of the failures warn, and some drives are pulled for a warning that would
    have come to nothing. Only the limits without (from below) and with (from above) together are safe.
    """
    rng = default_rng(7)
    true, years, covered, censored = 0.02, 2000, 0, 0
    for _ in range(400):
        failing = rng.poisson(true * years)
        warned = rng.binomial(failing, 1 / 3)
        pulled, false_alarms = rng.binomial(warned, 0.9), rng.poisson(6)
        found = preemptive_bounds(Rate(int(failing - pulled), 365 * years), int(pulled + false_alarms), None)
        covered += found.without.interval.low <= true <= found.counted.interval.high
        censored += found.without.interval.low <= true <= found.without.interval.high
    assert covered >= 0.95 * 400
    assert censored < 0.8 * 400, "censoring alone does not hold"
