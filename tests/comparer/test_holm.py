"""Holm against statsmodels, and verdicts among many models."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from statsmodels.stats.multitest import multipletests

from reliability.comparer.holm import after_holm, holm
from reliability.comparer.running import Mixture, compare_running
from reliability.comparer.stated import Verdict, compare, verdict_of
from reliability.rate import Rate

if TYPE_CHECKING:
    from reliability.interval import Interval

P_VALUES = st.lists(st.one_of(st.none(), st.floats(0, 1)), max_size=20)


@settings(max_examples=25)  # theirs takes 50 ms a table
@given(P_VALUES)
def test_agrees_with_statsmodels(p_values: list[float | None]) -> None:
    tested = [p for p in p_values if p is not None]
    theirs = iter(multipletests(tested, method="holm")[1].tolist() if tested else [])
    ours = holm(p_values)
    assert [p is None for p in ours] == [p is None for p in p_values]
    assert [p for p in ours if p is not None] == pytest.approx(list(theirs), abs=1e-12)


@given(P_VALUES)
def test_never_finds_more_than_without(p_values: list[float | None]) -> None:
    assert all(
        a >= p for a, p in zip(holm(p_values), p_values, strict=True) if a is not None and p is not None
    )


@given(st.lists(st.tuples(st.integers(0, 40), st.integers(0, 2_000_000)), min_size=1, max_size=12))
def test_a_verdict_is_kept_or_becomes_indefinite(counts: list[tuple[int, int]]) -> None:
    comparisons = {str(k): compare(Rate(x if t else 0, t), 0.01) for k, (x, t) in enumerate(counts)}
    for model, found in after_holm(comparisons).items():
        assert found.alone is comparisons[model].verdict
        assert found.models == sum(t > 0 for _, t in counts)
        if found.verdict is not found.alone:
            assert found.alone in (Verdict.WORSE, Verdict.BETTER)
            assert found.verdict in (Verdict.CONSISTENT, Verdict.TOO_LITTLE)
        if found.alone in (Verdict.WORSE, Verdict.BETTER):
            assert found.p_value is not None
            assert (found.verdict is found.alone) == (found.p_value < 0.05)


def test_worse_among_many_is_worded_as_not_holding() -> None:
    """12 failures where 5 are expected: p = 0.0109 by scipy's Poisson tail, doubled; five times that is over 0.05."""
    bad, fair = compare(Rate(12, 365_000), 0.005), compare(Rate(5, 365_000), 0.005)
    assert bad.verdict is Verdict.WORSE
    found = after_holm(
        {"bad": bad, "a": fair, "b": fair, "c": fair, "d": fair, "unseen": compare(Rate(0, 0), 0.005)}
    )
    assert found["bad"].p_value == pytest.approx(5 * 0.01091, rel=1e-2)
    assert found["bad"].verdict is Verdict.TOO_LITTLE
    assert found["bad"].sentence == "Worse on its own figures, but not after allowing for 5 models compared."
    assert found["a"].sentence is None
    assert (found["unseen"].verdict, found["unseen"].p_value) == (Verdict.TOO_LITTLE, None)


def test_better_that_holds_and_one_model_alone() -> None:
    good = compare(Rate(2, 3_650_000), 0.005)
    found = after_holm({"good": good, "other": compare(Rate(5, 365_000), 0.005)})["good"]
    assert (found.verdict, found.sentence) == (
        Verdict.BETTER,
        "Still better after allowing for 2 models compared.",
    )
    assert after_holm({"good": good})["good"].sentence is None


def test_better_that_does_not_hold_becomes_consistent() -> None:
    """No failure where 3.8 are expected: p = 2 exp(-3.8) = 0.0447, alone only."""
    good, fair = compare(Rate(0, 380 * 365), 0.01), compare(Rate(50, 1_825_000), 0.01)
    found = after_holm({"good": good, "a": fair})["good"]
    assert (found.alone, found.verdict) == (Verdict.BETTER, Verdict.CONSISTENT)
    assert found.sentence == "Better on its own figures, but not after allowing for 2 models compared."


def test_verdicts_of_running_comparisons_are_allowed_for_by_their_own_p_values_and_limits() -> None:
    mixture = Mixture.centred_on(0.01)
    rates = {"bad": Rate(28, 500_000), "fair": Rate(15, 500_000), "other": Rate(14, 500_000)}
    alone = {model: compare_running(rate, 0.01, mixture) for model, rate in rates.items()}
    asked: list[tuple[str, float]] = []

    def limits_of(model: str, rate: Rate, level: float) -> Interval:
        asked.append((model, level))
        return replace(mixture, level=level).interval(rate)

    found = after_holm(alone, limits_of)
    theirs = multipletests([each.p_value for each in alone.values()], method="holm")[1]
    assert [each.p_value for each in found.values()] == pytest.approx(theirs.tolist())
    assert alone["bad"].verdict is Verdict.WORSE
    assert found["bad"].verdict is verdict_of(
        replace(mixture, level=1 - 0.05 / 3).interval(rates["bad"]), 0.01
    )
    ((model, level),) = asked
    assert model == "bad"
    assert level == pytest.approx(1 - 0.05 / 3)
