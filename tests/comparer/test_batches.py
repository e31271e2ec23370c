"""Spread between batches: outside checks and words; the coverage of its limits is in test_coverage.py."""

from __future__ import annotations

import math

import numpy as np
import pytest
import statsmodels.api as sm
from scipy.stats import chi2, multinomial, t

from reliability.comparer.batches import Spread, qualifies, spread, widest_spread
from reliability.comparer.homogeneity import homogeneity
from reliability.comparer.running import Mixture
from reliability.comparer.stated import Verdict, verdict_of
from reliability.errors import QuestionError
from reliability.rate import Rate


def rng() -> np.random.Generator:
    return np.random.default_rng(20)


def batches(*failures: int, drive_years: float = 1_000) -> list[Rate]:
    return [Rate(x, 365 * drive_years) for x in failures]


def test_limits_are_those_of_a_quasi_poisson_model() -> None:
    """statsmodels fits the one rate, scales its error by Pearson's statistic, and takes Student's quantile."""
    failures, years = np.array([1, 2, 4, 6, 17]), np.array([900.0, 1_100, 800, 1_300, 1_000])
    found = spread("batch", [Rate(int(x), 365 * y) for x, y in zip(failures, years, strict=True)], rng=rng())
    model = sm.GLM(failures, np.ones(5), sm.families.Poisson(), offset=np.log(years))
    fit = model.fit(scale="X2", use_t=True, tol=1e-12)
    assert found.test.index == pytest.approx(fit.scale, rel=1e-9)
    assert (found.quasi.low, found.quasi.high) == pytest.approx(np.exp(fit.conf_int()[0]), rel=1e-6)
    assert found.interval == found.quasi


def test_groups_that_agree_are_widened_all_the_same_but_not_narrowed() -> None:
    """phi is at least 1: exp(+-t(4) / sqrt(20)); with ten times the groups the exact limits are the wider ones."""
    found = spread("batch", batches(4, 4, 4, 4, 4), rng=rng())
    reach = t.ppf(0.975, 4) / math.sqrt(20)
    assert found.test.statistic == 0
    assert (found.quasi.low, found.quasi.high) == pytest.approx(
        (0.004 * math.exp(-reach), 0.004 * math.exp(reach))
    )
    assert found.interval.high > found.rate.interval().high
    many = spread("site", batches(*[1] * 50), rng=rng())
    assert many.interval.low == many.rate.interval().low < many.quasi.low


def test_the_p_value_is_the_exact_multinomial_one() -> None:
    """All ways in which 6 failures can fall into three groups, summed with scipy."""
    groups, shares = [Rate(4, 100), Rate(2, 200), Rate(0, 300)], np.array([1, 2, 3]) / 6

    def statistic(counts: tuple[int, ...]) -> float:
        return float(((counts - 6 * shares) ** 2 / (6 * shares)).sum())

    ways = [(a, b, 6 - a - b) for a in range(7) for b in range(7 - a)]
    exact = sum(
        multinomial.pmf(way, 6, shares) for way in ways if statistic(way) >= statistic((4, 2, 0)) - 1e-9
    )
    found = homogeneity(groups, rng=rng(), draws=40_000)
    assert found.statistic == pytest.approx(statistic((4, 2, 0)))
    assert found.p_value == pytest.approx(exact, abs=4 * math.sqrt(exact / 40_000))


def test_with_many_failures_it_is_the_chi_square_test() -> None:
    found = homogeneity(batches(210, 180, 205, 230, 175, 190), rng=rng(), draws=20_000)
    assert found.p_value == pytest.approx(chi2.sf(found.statistic, 5), abs=0.01)


def test_the_same_seed_gives_the_same_numbers() -> None:
    once, again = (homogeneity(batches(1, 5, 2), rng=rng(), draws=500) for _ in range(2))
    assert once == again


def test_without_a_failure_nothing_can_lie_apart() -> None:
    assert homogeneity(batches(0, 0), rng=rng()).p_value is None


@pytest.mark.parametrize("groups", [[], batches(3), [Rate(3, 100), Rate(0, 0)]])
def test_fewer_than_two_groups_are_refused(groups: list[Rate]) -> None:
    with pytest.raises(QuestionError, match=f"{len(groups)} groups? cannot be told apart; give two or more"):
        homogeneity(groups, rng=rng())


def test_five_groups_with_exposure_and_five_failures_are_needed() -> None:
    assert qualifies(batches(1, 1, 1, 1, 1))
    assert not qualifies(batches(1, 1, 1, 1, 0))
    assert not qualifies(batches(5, 5, 5, 5))
    assert not qualifies([*batches(5, 5, 5, 5), Rate(0, 0)])
    with pytest.raises(
        QuestionError, match="20 failures in 4 groups by rack show no spread; it takes 5 failures in 5"
    ):
        spread("rack", batches(5, 5, 5, 5), rng=rng())


def test_the_widest_label_decides() -> None:
    rate = Rate(20, 365 * 5_000)
    labels = {"batch": batches(4, 4, 4, 4, 4), "rack": batches(0, 0, 2, 4, 14), "site": batches(10, 10)}
    found = widest_spread(rate, labels, rng=rng())
    assert found is not None
    assert (found.label, found.grouping) == ("rack", "5 racks")
    assert widest_spread(rate, {"site": labels["site"]}, rng=rng()) is None


def worse() -> Spread:
    return spread("batch", batches(0, 1, 2, 7, 20), rng=rng())


def test_a_verdict_that_the_spread_takes_back_is_about_these_drives() -> None:
    """By hand: phi = 274 / 6 / 4 = 11.4, t(4) = 2.776, so 0.60 % times and over exp(2.776 sqrt(11.4 / 30)) = 5.54."""
    found = worse()
    assert found.verdict(0.0035) is Verdict.TOO_LITTLE
    assert found.about(0.0035) == (
        "The verdict is about these drives only: with the spread between 5 batches AFR 0.108-3.33 %, so for the model, "
        "other batches included, there is too little exposure to say."
    )


def test_a_verdict_that_stays_is_about_the_model() -> None:
    found = spread("rack", batches(5, 6, 7, 6, 6), rng=rng())
    assert found.about(0.002) == (
        "The verdict is about the model: with the spread between 5 racks AFR 0.361-0.996 %, and it stays."
    )


def test_the_sentence_says_what_was_grouped_and_what_was_not() -> None:
    """By hand as above, with 32 failures in 5,100 drive-years: 0.63 % times and over exp(1.658) = 5.25."""
    found = spread("rack", batches(0, 1, 2, 7, 20), Rate(32, 365 * 5_100), rng=rng())
    assert found.sentence == (
        "30 failures in 5 racks, further apart than chance puts them (Pearson index 11). 2 failures without a rack "
        "left out of the spread. For the model, other racks included: AFR 0.63 % (95 % 0.119-3.29 %)."
    )
    assert (
        "no further apart than chance puts them" in spread("site", batches(5, 6, 7, 6, 6), rng=rng()).sentence
    )


def test_the_hull_with_other_limits_judges_whether_they_speak_of_the_model() -> None:
    found = spread("rack", [Rate(x, 365_000) for x in (0, 1, 2, 4, 13)], rng=rng())
    running = Mixture.centred_on(0.0017).interval(found.rate)
    hull = found.widened(running)
    assert (hull.low, hull.high) == (min(running.low, found.quasi.low), max(running.high, found.quasi.high))
    assert found.widened(found.rate.interval()) == found.interval
    assert verdict_of(running, 0.0017) is Verdict.WORSE
    assert verdict_of(hull, 0.0017) is not Verdict.WORSE
    assert found.about(0.0017, limits=running).startswith("The verdict is about these drives only: ")
