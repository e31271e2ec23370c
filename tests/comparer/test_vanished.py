from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from statsmodels.stats.rates import confint_poisson

from reliability.comparer.running import Mixture
from reliability.comparer.stated import Verdict, compare, verdict_of
from reliability.comparer.vanished import taken_as_censored, vanished_bounds
from reliability.errors import QuestionError
from reliability.rate import Rate


@given(st.integers(0, 200), st.integers(1, 10**7), st.integers(0, 400))
@settings(deadline=None)
def test_the_bounds_are_none_and_all_of_them_failed(failures: int, drive_days: int, vanished: int) -> None:
    bounds = vanished_bounds(Rate(failures, drive_days), vanished, 0.0035)
    assert (bounds.best.failures, bounds.worst.failures) == (failures, failures + vanished)
    low, _ = confint_poisson(failures, drive_days / 365, method="exact-c")
    _, high = confint_poisson(failures + vanished, drive_days / 365, method="exact-c")
    assert (bounds.union.low, bounds.union.high) == pytest.approx((low, high), rel=1e-9)
    assert bounds.best.verdict is compare(Rate(failures, drive_days), 0.0035).verdict


@given(st.integers(0, 60), st.integers(10_000, 5_000_000), st.integers(0, 60))
@settings(deadline=None)
def test_the_tipping_point_is_the_first_that_changes_the_verdict(
    failures: int, drive_days: int, vanished: int
) -> None:
    """Against a plain walk through all numbers of them that may have failed."""
    verdicts = [compare(Rate(failures + v, drive_days), 0.0035).verdict for v in range(vanished + 1)]
    changes = [(v, verdicts[v]) for v in range(1, vanished + 1) if verdicts[v] is not verdicts[v - 1]]
    bounds = vanished_bounds(Rate(failures, drive_days), vanished, 0.0035)
    assert list(bounds.turns) == changes
    assert bounds.tipping == (changes[0][0] if changes else None)
    assert bounds.depends == (verdicts[0] is not verdicts[-1])
    assert bounds.worst.verdict is verdicts[-1]


def test_a_verdict_that_tips_is_worded_as_depending_on_them() -> None:
    assert vanished_bounds(Rate(30, 3_650_000), 40, 0.0035).sentence == (
        "Depends on the 40 drives that vanished: best case AFR 0.30 % (0.202-0.428 %, consistent), "
        "worst case AFR 0.70 % (0.546-0.884 %, worse); "
        "18 of them failing would make it worse than the datasheet."
    )


def test_each_turn_on_the_way_is_named() -> None:
    bounds = vanished_bounds(Rate(3, 3_650_000), 100, 0.0035)
    assert bounds.turns == ((21, Verdict.CONSISTENT), (45, Verdict.WORSE))
    assert bounds.sentence.endswith(
        "; 21 of them failing would make it consistent with the datasheet, "
        "45 of them failing would make it worse than the datasheet."
    )


def test_a_verdict_that_holds_whatever_became_of_them_says_so() -> None:
    bounds = vanished_bounds(Rate(3, 730_000), 1, 0.0035)
    assert bounds.sentence == (
        "Does not depend on the 1 drive that vanished: best case AFR 0.15 % (0.0309-0.438 %, consistent), "
        "worst case AFR 0.20 % (0.0545-0.512 %, consistent)."
    )
    assert (bounds.tipping, bounds.depends) == (None, False)


def test_without_a_stated_rate_there_are_bounds_and_no_verdict() -> None:
    bounds = vanished_bounds(Rate(3, 730_000), 2, None)
    assert bounds.sentence == (
        "2 drives vanished: best case AFR 0.15 % (0.0309-0.438 %), worst case AFR 0.25 % (0.0812-0.583 %)."
    )
    assert (bounds.best.verdict, bounds.worst.verdict, bounds.tipping, bounds.depends) == (
        None,
        None,
        None,
        False,
    )


def test_none_vanished() -> None:
    bounds = vanished_bounds(Rate(3, 730_000), 0, 0.0035)
    assert bounds.best == bounds.worst
    assert (bounds.sentence, bounds.tipping, bounds.depends) == ("No drive vanished.", None, False)


def test_without_exposure_nothing_tips() -> None:
    bounds = vanished_bounds(Rate(0, 0), 2, 0.0035)
    assert (bounds.best.per_year, bounds.worst.per_year, bounds.tipping) == (None, None, None)
    assert "best case no exposure, worst case no exposure" in bounds.sentence


@pytest.mark.parametrize("count", [-1, 1.5, math.nan, math.inf])
def test_only_whole_drives_can_vanish_and_none_at_least(count: float) -> None:
    with pytest.raises(
        QuestionError, match=f"^{count} drives cannot have vanished; give a whole number, 0 or"
    ):
        vanished_bounds(Rate(0, 365), count, 0.0035)  # type: ignore[arg-type]  # that it is refused is tested


def test_other_limits_judge_the_cases_and_tell_another_tipping_point() -> None:
    """Those of a running comparison are wider: it takes more drives to be worse, and fewer to leave doubt."""
    rate, mixture = Rate(30, 3_650_000), Mixture.centred_on(0.0035)
    running = vanished_bounds(rate, 60, 0.0035, limits_of=mixture.interval)
    single = vanished_bounds(rate, 60, 0.0035)
    assert running.best.interval == mixture.interval(rate)
    assert running.worst.interval == mixture.interval(Rate(90, 3_650_000))
    for bounds in (running, single):
        for number, verdict in bounds.turns:
            limits = (
                mixture.interval(Rate(30 + number, 3_650_000))
                if bounds is running
                else Rate(30 + number, 3_650_000).interval()
            )
            assert verdict_of(limits, 0.0035) is verdict
    worse = {name: {v: n for n, v in b.turns}[Verdict.WORSE] for name, b in (("r", running), ("s", single))}
    assert worse["r"] > worse["s"]
    assert running.turns[0][0] < single.turns[0][0]


def test_without_exposure_other_limits_know_nothing_either() -> None:
    found = vanished_bounds(Rate(0, 0), 2, 0.0035, limits_of=Mixture().interval)
    assert (found.best.interval.low, found.worst.interval.high) == (0.0, float("inf"))


def test_models_of_which_none_vanished_are_not_named() -> None:
    assert taken_as_censored({"A": 0, "B": 0}) is None
    told = taken_as_censored({"A": 0, "B": 1})
    assert told == (
        "Counted up to the day last seen, and not as failed: 1 drive of B that vanished. What is said of this model, "
        "and of others against it, depends on what became of that drive."
    )
