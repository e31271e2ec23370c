from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import example, given
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.stats import gamma, poisson

from reliability.comparer.running import EVERY_LOOK, Mixture, balance_roots, compare_running
from reliability.comparer.stated import Verdict
from reliability.detection import expected_to_exclude
from reliability.errors import QuestionError
from reliability.poisson import garwood_interval
from reliability.rate import Rate

QUARTERS = 20  # five years of reports
counts = st.integers(0, 3_000)
exposures = st.floats(0.5, 1e6)
priors = st.builds(Mixture, shape=st.floats(0.2, 5.0), drive_years=st.floats(0.1, 1e4), level=st.just(0.95))


def seen(failures: int, years: float) -> Rate:
    return Rate(failures, 365 * years)


def weighed(mixture: Mixture, failures: int, years: float, per_year: float) -> float:
    """Integrate the likelihood over the gamma distribution, instead of knowing the integral."""
    top = (mixture.shape + failures) / (mixture.drive_years + years)

    def ratio(rate: float) -> float:
        likelier = failures * math.log(rate / per_year) - (rate - per_year) * years
        return math.exp(likelier) * float(gamma.pdf(rate, mixture.shape, scale=1 / mixture.drive_years))

    pieces = pairwise((0.0, top / 2, top, 2 * top, 5 * top, 40 * top))
    return sum(quad(ratio, low, high, epsabs=0, epsrel=1e-9, limit=200)[0] for low, high in pieces)


@pytest.mark.parametrize(
    ("failures", "years", "mixture"),
    [(0, 40.0, Mixture()), (3, 300.0, Mixture.centred_on(0.01)), (25, 900.0, Mixture(2.0, 50.0))],
)
@pytest.mark.parametrize("times", [0.4, 1.0, 2.5])
def test_the_evidence_is_the_integral_of_the_mixture(
    failures: int, years: float, mixture: Mixture, times: float
) -> None:
    per_year = times * max(failures, 1) / years
    found = mixture.log_e_value(seen(failures, years), per_year)
    assert found == pytest.approx(math.log(weighed(mixture, failures, years, per_year)), abs=1e-7)


@pytest.mark.parametrize(("failures", "years"), [(0, 120.0), (1, 80.0), (7, 500.0), (60, 1500.0)])
def test_the_limits_are_where_a_plain_scan_of_rates_first_finds_less_evidence(
    failures: int, years: float
) -> None:
    mixture, rate = Mixture(), seen(failures, years)
    grid = np.linspace(1e-6, 10 * (failures + 4) / years, 40_000)
    kept = [each for each in grid if mixture.log_e_value(rate, float(each)) < math.log(20)]
    limits, step = mixture.interval(rate), grid[1] - grid[0]
    assert limits.low == pytest.approx(kept[0] if failures else 0.0, abs=step)
    assert limits.high == pytest.approx(kept[-1], abs=step)


@given(counts.filter(bool), exposures, priors)
@example(1, 1e6, Mixture())
@example(3_000, 0.5, Mixture(0.2, 1e4))
def test_at_a_limit_the_evidence_is_one_over_alpha(failures: int, years: float, mixture: Mixture) -> None:
    rate = seen(failures, years)
    limits = mixture.interval(rate)
    assert limits.low < failures / years < limits.high
    for limit in (limits.low, limits.high):
        assert mixture.log_e_value(rate, limit) == pytest.approx(math.log(20), abs=1e-6)
        assert mixture.p_value(rate, limit) == pytest.approx(0.05, rel=1e-5)


@given(counts, exposures, priors)
def test_one_failure_more_raises_both_limits(failures: int, years: float, mixture: Mixture) -> None:
    fewer, more = (mixture.interval(seen(each, years)) for each in (failures, failures + 1))
    assert fewer.low < more.low
    assert fewer.high < more.high


@given(st.integers(1, 3_000), exposures, st.floats(0.01, 100.0))
def test_with_a_failure_the_limits_are_wider_than_those_of_a_single_look(
    failures: int, years: float, times: float
) -> None:
    mixture = Mixture(1.0, times * years)
    running, single = mixture.interval(seen(failures, years)), seen(failures, years).interval()
    assert running.low < single.low
    assert running.high > single.high


@given(counts, exposures, priors, st.floats(0.1, 10.0))
def test_a_change_of_the_unit_of_time_changes_nothing(
    failures: int, years: float, mixture: Mixture, times: float
) -> None:
    stretched = Mixture(mixture.shape, mixture.drive_years * times)
    limits = mixture.interval(seen(failures, years))
    other = stretched.interval(seen(failures, years * times))
    assert (other.low * times, other.high * times) == pytest.approx((limits.low, limits.high))


@given(st.integers(0, 400), st.floats(1e-3, 1.0), priors)
def test_up_to_and_beyond_are_where_a_limit_meets_the_rate(
    failures: int, per_year: float, mixture: Mixture
) -> None:
    beyond = mixture.beyond(failures, per_year)
    assert mixture.interval(seen(failures, beyond)).high == pytest.approx(per_year, rel=1e-6)
    up_to = mixture.up_to(failures, per_year)
    if up_to > 1e-6 * beyond:
        assert mixture.interval(seen(failures, up_to)).low == pytest.approx(per_year, rel=1e-6)


def test_without_a_failure_the_upper_limit_has_a_closed_form() -> None:
    for years in (0.1, 10.0, 856.0, 1e5):
        limits = Mixture().interval(seen(0, years))
        assert limits.low == 0
        assert limits.high == pytest.approx((math.log(20) + math.log1p(years / 100)) / years)


def test_without_exposure_nothing_is_known() -> None:
    assert Mixture().interval(Rate(0, 0)).high == math.inf
    assert Mixture().log_e_value(Rate(0, 0), 0.01) == 0
    found = compare_running(Rate(0, 0), 0.0035, Mixture.centred_on(0.0035))
    assert found.verdict is Verdict.TOO_LITTLE
    assert found.sentence.startswith("Too little exposure to say: no exposure, stated 0.35 %.")


def test_where_every_drive_failed_on_its_first_day_there_are_limits_too() -> None:
    limits = Mixture().interval(Rate(10, 10))
    assert 0 < limits.low < 365 < limits.high < math.inf


def test_a_rate_of_nothing_is_out_once_something_failed() -> None:
    assert Mixture().p_value(Rate(1, 365), 0.0) == 0
    assert Mixture().p_value(Rate(0, 365_000), 0.0) == 1


@pytest.mark.parametrize(("failures", "times"), [(3, 1.25), (10, 1.4), (100, 1.6)])
def test_it_is_so_much_wider_than_a_single_look(failures: int, times: float) -> None:
    # the price that docs/methods.md states, for a model that keeps its stated rate
    running = Mixture(1.0, 1.0).interval(seen(failures, failures))
    single = garwood_interval(failures) / failures
    assert (running.high - running.low) / (single.high - single.low) == pytest.approx(times, abs=0.05)


def chance_of_an_alarm(expected: float, excludes: list[tuple[int, int]]) -> tuple[float, float]:
    """Exact chances that some look finds too many, or too few, for the rate that is true.

    expected  failures between two looks
    excludes  for each look, the greatest count that is too few, and the least that is too many
    """
    most = 2_000
    steps = poisson.pmf(np.arange(most), expected)
    alive, many, few = np.zeros(most), 0.0, 0.0
    alive[0] = 1.0
    for too_few, too_many in excludes:
        alive = np.convolve(alive, steps)[:most]
        many, few = many + alive[too_many:].sum(), few + alive[: too_few + 1].sum()
        alive[too_many:] = alive[: too_few + 1] = 0.0
    return float(many), float(few)


def looks(expected: float, interval: object) -> list[tuple[int, int]]:
    """Which counts exclude a rate of 1, at each look."""
    found = []
    for look in range(1, QUARTERS + 1):
        limits = [interval(count, look * expected) for count in range(int(4 * look * expected) + 40)]  # type: ignore[operator]  # a function of both
        too_few = sum(each.high < 1 for each in limits) - 1
        found.append((too_few, sum(each.low <= 1 for each in limits)))
    return found


@pytest.mark.parametrize("expected", [0.5, 1.0, 5.0, 10.0])
def test_twenty_looks_raise_a_false_alarm_in_two_of_a_hundred_and_repeated_single_looks_in_far_more(
    expected: float,
) -> None:
    mixture = Mixture(1.0, 1.0)
    many, few = chance_of_an_alarm(
        expected, looks(expected, lambda count, years: mixture.interval(seen(count, years)))
    )
    assert many <= 0.02
    assert many + few <= 0.03
    # the negative control: limits for one look, taken twenty times
    many, few = chance_of_an_alarm(
        expected, looks(expected, lambda count, years: garwood_interval(count) / years)
    )
    stated = {0.5: 0.12, 1.0: 0.16, 5.0: 0.20, 10.0: 0.21}  # docs/methods.md
    assert many + few == pytest.approx(stated[expected], abs=0.006)


@pytest.mark.parametrize("truth", [0.2, 1.0, 6.0])
def test_the_limits_hold_at_every_failure_of_a_fleet_that_comes_and_goes(truth: float) -> None:
    """Looked at in the worst way: after each failure, in a fleet whose size nobody planned."""
    rng = np.random.default_rng(20)
    runs, failures = 2_000, 400
    waits = rng.exponential(1 / truth, (runs, failures)).cumsum(
        axis=1
    )  # in drive-years, whatever the fleet's size
    number = np.arange(1, failures + 1)
    mixture = Mixture(1.0, 1.0)
    weight = np.array(
        [mixture.log_e_value(seen(int(n), 1e-9), 1.0) for n in number]
    )  # all but what waits add
    evidence = weight - (1 + number) * np.log1p(waits) - number * math.log(truth) + truth * waits
    missed = (evidence >= math.log(20)).any(axis=1).mean()
    assert missed <= 0.05
    one = seen(7, float(waits[0, 6]))
    assert evidence[0, 6] == pytest.approx(mixture.log_e_value(one, truth), abs=1e-6)


def test_a_model_that_fails_twice_as_often_is_found_with_less_than_twice_the_exposure() -> None:
    rng = np.random.default_rng(2)
    looks_at = np.arange(0.5, 40, 0.5)  # in failures expected at the stated rate
    least = np.array(
        [next(n for n in range(300) if Mixture(1.0, 1.0).interval(seen(n, t)).low > 1) for t in looks_at]
    )
    found = rng.poisson(2 * 0.5, (20_000, len(looks_at))).cumsum(axis=1) >= least
    when = looks_at[found.argmax(axis=1)][found.any(axis=1)]
    assert float(np.median(when)) == pytest.approx(11.2, abs=0.7)  # docs/methods.md
    assert float(np.quantile(when, 0.8)) == pytest.approx(19.5, abs=1.0)


def test_the_exposure_still_needed_is_that_of_limits_for_every_look() -> None:
    running, single = expected_to_exclude(1, 2, by=Mixture(1.0, 1.0)), expected_to_exclude(1, 2)
    assert 1.7 < running / single < 1.9
    within = running * 1.1
    least = next(n for n in range(300) if Mixture(1.0, 1.0).interval(seen(n, within)).low > 1)
    assert poisson.sf(least - 1, 2 * within) >= 0.8


@pytest.mark.parametrize(
    ("failures", "verdict"),
    [(1, Verdict.BETTER), (7, Verdict.CONSISTENT), (16, Verdict.TOO_LITTLE), (40, Verdict.WORSE)],
)
def test_the_words_are_those_of_a_single_look_and_say_which_look(failures: int, verdict: Verdict) -> None:
    found = compare_running(seen(failures, 1000), 0.01, Mixture.centred_on(0.01))
    assert found.verdict is verdict
    assert found.sentence.endswith(f"({EVERY_LOOK})")
    assert (found.more_drive_years is not None) == (verdict is Verdict.TOO_LITTLE)


def test_zero_failures_are_told_by_the_limit_that_holds_at_every_look() -> None:
    found = compare_running(seen(0, 300), 0.0035, Mixture.centred_on(0.0035))
    at_most = 100 * (math.log(20) + math.log1p(300 * 0.0035)) / 300  # in percent, by the closed form
    assert round(at_most, 2) == 1.24
    assert found.sentence == (
        "No failure in 300 drive-years; AFR at most 1.24 % (one-sided 95 %). Too little exposure to say: AFR 0 % "
        "(0-1.24 %) includes both the stated 0.35 % and twice that. Would need about "
        f"{found.more_drive_years:,.0f} more drive-years. (valid at every look)"
    )


def test_the_p_value_agrees_with_the_limits() -> None:
    mixture = Mixture.centred_on(0.01)
    for failures in range(60):
        found = compare_running(seen(failures, 1000), 0.01, mixture)
        assert (found.p_value < 0.05) == (not found.interval.contains(0.01))


def test_what_is_no_prior_and_no_stated_rate_is_refused() -> None:
    with pytest.raises(
        QuestionError, match=r"^A prior of shape 0 and 100.0 drive-years is none; give two numbers"
    ):
        Mixture(shape=0)
    with pytest.raises(QuestionError, match="strictly between 0 and 1"):
        Mixture(level=95)
    with pytest.raises(QuestionError, match=r"^A stated rate of 0 failures per drive-year is none"):
        compare_running(Rate(0, 365), 0, Mixture())


@given(st.floats(1e-9, 600.0))
def test_both_roots_are_roots(excess: float) -> None:
    low, high = balance_roots(excess)
    assert 0 < low < 1 < high
    for root in (low, high):
        logarithm = math.log(root)
        assert math.expm1(logarithm) - logarithm == pytest.approx(excess, rel=1e-6, abs=1e-15)
