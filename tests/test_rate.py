from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from statsmodels.stats.rates import confint_poisson

from reliability.errors import QuestionError
from reliability.rate import Rate

rates = st.builds(Rate, failures=st.integers(0, 500), drive_days=st.integers(500, 10**9))


@given(rates)
@settings(deadline=None)
def test_the_interval_holds_the_estimate_and_is_that_of_statsmodels(rate: Rate) -> None:
    assert rate.per_year is not None
    limits = rate.interval()
    assert limits.low <= rate.per_year <= limits.high
    theirs = confint_poisson(rate.failures, rate.drive_years, method="exact-c")
    assert (limits.low, limits.high) == pytest.approx(theirs, rel=1e-9)


@given(rates, rates)
def test_pooling_adds_counts_and_exposure(one: Rate, other: Rate) -> None:
    pooled = one + other
    assert (pooled.failures, pooled.drive_days) == (
        one.failures + other.failures,
        one.drive_days + other.drive_days,
    )
    assert pooled == other + one
    assert one + Rate(0, 0) == one


@given(rates, st.integers(2, 50))
def test_more_exposure_at_the_same_rate_narrows_the_interval(rate: Rate, times: int) -> None:
    now, later = rate.interval(), Rate(rate.failures * times, rate.drive_days * times).interval()
    assert later.high - later.low < now.high - now.low


@given(rates, st.sampled_from([0.5, 0.9, 0.99]))
def test_mtbf_limits_are_the_rate_limits_turned_over(rate: Rate, level: float) -> None:
    limits, mtbf = rate.interval(level), rate.mtbf_interval(level)
    assert mtbf.low * limits.high == pytest.approx(8760)
    if rate.failures:
        assert mtbf.high * limits.low == pytest.approx(8760)
    else:
        assert mtbf.high == math.inf
    assert mtbf.level == level


# The edges: each is a rate as any other.
def test_no_failure_has_an_upper_limit_only() -> None:
    rate = Rate(0, 100 * 365)
    assert rate.per_year == 0
    assert rate.interval().low == 0
    assert rate.interval().high == pytest.approx(0.0369, abs=5e-5)  # statsmodels exact-c, 0 in 100
    assert rate.upper_one_sided() == pytest.approx(-math.log(0.05) / 100)
    assert str(rate) == "0 failures in 100 drive-years: AFR at most 3.00 % (one-sided 95 %)"


def test_one_drive_that_fails_on_its_first_day() -> None:
    assert str(Rate(1, 1)) == "1 failure in 0.0027 drive-years: AFR 36,000 % (95 % 924-203,000 %)"


def test_all_failed() -> None:
    """12 drives, all failed within 30 days each: the exposure is the time they ran."""
    rate = Rate(12, 360)
    assert rate.per_year == pytest.approx(12 / (360 / 365))
    assert str(rate).startswith("12 failures in 0.99 drive-years: AFR 1,200 %")


def test_no_exposure_is_no_estimate_but_an_interval() -> None:
    rate = Rate(0, 0)
    assert rate.per_year is None
    assert (rate.interval().low, rate.interval().high) == (0, math.inf)
    assert rate.upper_one_sided() == math.inf
    assert (rate.mtbf_interval().low, rate.mtbf_interval().high) == (0, math.inf)
    assert str(rate) == "No exposure: no drive was at risk, so there is no rate"


@pytest.mark.parametrize(
    ("failures", "drive_days", "told"),
    [
        (-1, 10, "-1 failures cannot be counted; give a whole number, 0 or more."),
        (0, -1, "-1 drive-days are no exposure; give a number, 0 or more."),
        (0, math.nan, "nan drive-days are no exposure"),
        (0, math.inf, "inf drive-days are no exposure"),
        (2, 0, "2 failures in 0 drive-days cannot be: the day of a failure counts as exposure"),
    ],
)
def test_what_cannot_have_happened_is_refused(failures: int, drive_days: float, told: str) -> None:
    with pytest.raises(QuestionError) as refused:
        Rate(failures, drive_days)
    assert told in str(refused.value)


def test_as_a_frame_it_is_one_row_with_its_limits() -> None:
    rate = Rate(4, 365_000)
    (row,) = rate.to_frame().to_dict("records")
    assert row == {
        "failures": 4,
        "drive_days": 365_000,
        "drive_years": 1_000,
        "afr": 0.004,
        "afr_low": rate.interval().low,
        "afr_high": rate.interval().high,
    }
    assert Rate(0, 0).to_frame()["afr"].isna().all()
