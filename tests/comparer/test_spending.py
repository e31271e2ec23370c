"""Planned looks: boundaries as published, the level kept exactly, power nearly that of one look."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import norm, poisson

from reliability.comparer.spending import PlannedLooks, compare_planned, spent, too_few, too_many
from reliability.comparer.stated import Verdict, more_drive_years
from reliability.errors import QuestionError
from reliability.planning.power import chance_to_exclude
from reliability.rate import Rate

# Two-sided 5 %, five equal looks, the O'Brien-Fleming type rule of Lan & DeMets (1983), in standard deviations; from
# memory of the tables of Reboussin, DeMets, Kim & Lan.
PUBLISHED = (4.877, 3.357, 2.680, 2.290, 2.031)


def seen(failures: int, years: float) -> Rate:
    return Rate(failures, 365 * years)


def tails(looks: int, alpha: float = 0.025) -> list[float]:
    return [spent((look + 1) / looks, alpha) for look in range(looks)]


def evenly(looks: int, expected: float) -> list[float]:
    return [expected * (look + 1) / looks for look in range(looks)]


def ever(expected: list[float], least: list[int], times: float) -> float:
    """Chance that some look counts so many, by carrying every count on in plain Python."""
    alive, alarmed, before = {0: 1.0}, 0.0, 0.0
    for mean, enough in zip(expected, least, strict=True):
        step = [float(poisson.pmf(more, times * (mean - before))) for more in range(120)]
        after: dict[int, float] = {}
        for count, chance in alive.items():
            for more, share in enumerate(step):
                after[count + more] = after.get(count + more, 0.0) + chance * share
        alarmed += sum(chance for count, chance in after.items() if count >= enough)
        alive, before = {count: chance for count, chance in after.items() if count < enough}, mean
    return alarmed


def test_large_counts_have_the_published_boundaries() -> None:
    expected = evenly(5, 2_000.0)
    high, low = too_many(expected, tails(5)), too_few(expected, tails(5))
    found = [
        # half a count of continuity on either side; the mean of both sides takes out the skewness
        ((above - 0.5 - mean) + (mean - below - 0.5)) / 2 / math.sqrt(mean)
        for mean, above, below in zip(expected, high, low, strict=True)
    ]
    assert found == pytest.approx(PUBLISHED, abs=0.5 / math.sqrt(expected[0]))


def test_what_may_be_spent_is_the_rule_of_lan_and_demets() -> None:
    for share in (0.1, 0.2, 0.5, 0.9):
        assert spent(share, 0.025) == pytest.approx(2 - 2 * norm.cdf(norm.isf(0.0125) / math.sqrt(share)))
    assert spent(1.0, 0.025) == pytest.approx(0.025)


@pytest.mark.parametrize("looks", [2, 5, 8])
@pytest.mark.parametrize("expected", [0.8, 6.0, 20.0])
def test_false_alarms_are_at_most_what_was_planned(looks: int, expected: float) -> None:
    by_look = evenly(looks, expected)
    high = ever(by_look, too_many(by_look, tails(looks)), 1.0)
    assert high <= 0.025
    # the negative control: a single look's count, taken at every look
    single = [int(poisson.isf(0.025, mean)) + 1 for mean in by_look]
    repeated = ever(by_look, single, 1.0)
    assert repeated > high
    if (looks, expected) == (8, 20.0):
        assert repeated > 0.05


@pytest.mark.parametrize("looks", [5, 8])
def test_power_is_nearly_that_of_one_look(looks: int) -> None:
    by_look = evenly(looks, 20.0)
    assert chance_to_exclude(1, 2, 20.0) == pytest.approx(0.957, abs=5e-4)
    assert ever(by_look, too_many(by_look, tails(looks)), 2.0) == pytest.approx(0.959, abs=1.5e-3)


@pytest.mark.parametrize(("times", "planned"), [(1.0, 8), (0.4, 4), (3.0, 4)])
def test_limits_at_all_planned_looks_together_hold_the_truth(times: float, planned: int) -> None:
    rng = np.random.default_rng(8)
    years = evenly(planned, 12.0)
    counts = rng.poisson(times * years[0], (4_000, planned)).cumsum(axis=1)
    missed = np.zeros(len(counts), dtype=bool)
    for look in range(planned):
        plan = PlannedLooks(tuple(years[: look + 1]), planned)
        for count in np.unique(counts[:, look]):
            if not plan.interval(seen(int(count), years[look])).contains(times):
                missed |= counts[:, look] == count
    assert missed.mean() <= 0.05


@settings(max_examples=30, deadline=None)
@given(st.integers(0, 60), st.lists(st.floats(1.0, 500.0), min_size=1, max_size=5), st.integers(0, 3))
def test_a_limit_is_where_alarms_end(failures: int, steps: list[float], more: int) -> None:
    years = tuple(np.cumsum(steps).tolist())
    plan = PlannedLooks(years, len(years) + more)
    limits = plan.interval(seen(failures, years[-1]))
    allowed = [spent((look + 1) / plan.planned, 0.025) for look in range(len(years))]
    assert limits.low <= failures / years[-1] <= limits.high
    inside = [each * limits.high * (1 - 1e-6) for each in years]
    assert too_few(inside, allowed)[-1] < failures
    beyond = [each * limits.high * 1.6 + 1e-9 for each in years]
    if more == 0:
        assert too_few([each + 8 for each in beyond], allowed)[-1] >= failures
    if failures:
        assert too_many([each * limits.low * (1 + 1e-6) for each in years], allowed)[-1] > failures
    else:
        assert limits.low == 0


def test_the_only_look_is_a_single_look() -> None:
    for failures in (0, 3, 40):
        plan, single = PlannedLooks((1_000.0,), 1), seen(failures, 1_000).interval()
        found = plan.interval(seen(failures, 1_000))
        assert (found.low, found.high) == pytest.approx((single.low, single.high))


def test_the_last_look_of_several_is_nearly_one() -> None:
    years = tuple(evenly(5, 1_000.0))
    found, single = PlannedLooks(years, 5).interval(seen(20, 1_000)), seen(20, 1_000).interval()
    assert found.low == pytest.approx(single.low, rel=0.06)
    assert found.high == pytest.approx(single.high, rel=0.06)
    early = PlannedLooks((1_000.0,), 5).interval(seen(20, 1_000))
    assert early.low < found.low < single.high < early.high


def test_one_failure_more_raises_both_limits() -> None:
    plan = PlannedLooks((100.0, 250.0, 300.0), 6)
    found = [plan.interval(seen(failures, 300)) for failures in range(30)]
    assert all(a.high < b.high for a, b in pairwise(found))
    assert all(a.low < b.low for a, b in pairwise(found))


def test_without_exposure_nothing_is_known_and_a_look_without_new_exposure_is_no_fault() -> None:
    assert PlannedLooks((0.0,), 4).interval(Rate(0, 0)).high == math.inf
    assert compare_planned(Rate(0, 0), 0.01, PlannedLooks((0.0, 0.0), 4)).verdict is Verdict.TOO_LITTLE
    twice = PlannedLooks((100.0, 100.0), 2).interval(seen(5, 100))
    assert 0 < twice.low < 0.05 < twice.high


def test_the_verdict_is_that_of_the_boundaries_at_the_stated_rate() -> None:
    years, stated = tuple(evenly(4, 2_000.0)), 0.01
    high = too_many([stated * each for each in years], tails(4))[-1]
    low = too_few([stated * each for each in years], tails(4))[-1]
    plan = PlannedLooks(years, 4)
    verdicts = {
        count: compare_planned(seen(count, 2_000), stated, plan) for count in (low, low + 1, high - 1, high)
    }
    assert verdicts[high].verdict is Verdict.WORSE
    assert verdicts[high - 1].verdict is not Verdict.WORSE
    assert verdicts[low].verdict is Verdict.BETTER
    assert verdicts[low + 1].verdict is not Verdict.BETTER
    assert [each.p_value <= 0.05 for each in verdicts.values()] == [True, False, False, True]


def test_the_sentence_says_which_look_of_how_many() -> None:
    found = compare_planned(seen(0, 856), 0.0035, PlannedLooks((400.0, 856.0), 8))
    assert found.sentence.startswith("No failure in 856 drive-years; AFR at most ")
    assert found.sentence.endswith("(look 2 of 8 planned)")
    assert found.more_drive_years == more_drive_years(seen(0, 856), 0.0035)


def test_a_look_that_was_not_planned_is_refused() -> None:
    with pytest.raises(
        QuestionError, match=r"^Look 3 of 2 looks was not planned; give the exposure of the first"
    ):
        PlannedLooks((1.0, 2.0, 3.0), 2)
    with pytest.raises(QuestionError, match=r"^Look 0 of 2 looks was not planned"):
        PlannedLooks((), 2)
