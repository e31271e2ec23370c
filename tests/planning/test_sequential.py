"""Sequential and fixed plans: against plain chance, against Wald's theory, and by their laws."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import poisson

from reliability.errors import QuestionError
from reliability.planning.fixed_length import FixedPlan
from reliability.planning.sequential import SequentialPlan
from reliability.planning.wald import WaldLines, expected_failures, wald_lines

LINES = WaldLines(1.3863, 4.394, 3.819)
PLAN = SequentialPlan(LINES, last_failure=16, longest=20.6)
PLANS = st.builds(
    SequentialPlan,
    st.builds(WaldLines, st.floats(0.5, 3), st.floats(0.5, 8), st.floats(0.5, 8)),
    st.integers(1, 25),
    st.floats(1, 40),
)


@given(PLANS, st.floats(0.2, 20))
def test_a_test_ends_one_way_or_the_other(plan: SequentialPlan, mtbf: float) -> None:
    """The two chances are counted apart, so their sum shows that nothing was lost."""
    found = plan.operating(mtbf)
    assert found.accepted + found.refused == pytest.approx(1, abs=1e-12)
    assert 0 < found.mean_length <= plan.longest + 1e-9


@given(PLANS, st.floats(0.2, 10), st.floats(1.01, 3))
def test_better_drives_are_accepted_more_often(plan: SequentialPlan, mtbf: float, times: float) -> None:
    assert plan.operating(times * mtbf).accepted >= plan.operating(mtbf).accepted - 1e-12


def run(plan: SequentialPlan, mtbf: float, rng: np.random.Generator) -> tuple[bool, float]:
    """One test, failure by failure."""
    now = 0.0
    for failures in range(1, plan.last_failure + 1):
        ends_well = min(plan.lines.to_accept + plan.lines.slope * (failures - 1), plan.longest)
        now += rng.exponential(mtbf)
        if now >= ends_well:
            return True, ends_well
        if now <= plan.lines.slope * failures - plan.lines.to_refuse:
            return False, now
    return False, now


@pytest.mark.parametrize("mtbf", [1.0, 1.5, 2.0])
def test_tests_played_through_end_as_computed(mtbf: float) -> None:
    rng = np.random.default_rng(20260930)
    played = [run(PLAN, mtbf, rng) for _ in range(20_000)]
    found = PLAN.operating(mtbf)
    # four standard errors of 20,000 tests
    assert np.mean([accepted for accepted, _ in played]) == pytest.approx(found.accepted, abs=0.0142)
    lengths = np.array([length for _, length in played])
    assert lengths.mean() == pytest.approx(found.mean_length, abs=4 * lengths.std() / np.sqrt(20_000))


@pytest.mark.parametrize("mtbf", [0.7, 1.0, 2.0])
def test_without_lines_in_reach_it_is_a_fixed_plan(mtbf: float) -> None:
    """Lines that lie beyond the cut leave a test of fixed length."""
    plan = SequentialPlan(WaldLines(1.0, 1000.0, 1000.0), last_failure=14, longest=18.8)
    fixed = FixedPlan(18.8, 13)
    assert plan.operating(mtbf).accepted == pytest.approx(fixed.chance_to_accept(mtbf), rel=1e-12)
    assert plan.operating(mtbf).refused == pytest.approx(fixed.chance_to_refuse(mtbf), rel=1e-12)


@pytest.mark.parametrize(("ratio", "risk"), [(1.5, 0.1), (2.0, 0.1), (3.0, 0.1), (2.0, 0.2)])
def test_a_test_that_is_hardly_cut_off_keeps_walds_promise(ratio: float, risk: float) -> None:
    """Wald (1947): a' <= a/(1 - b), b' <= b/(1 - a), and their sum is at most a + b."""
    plan = SequentialPlan(wald_lines(ratio, risk, risk), last_failure=300, longest=500.0)
    producers, consumers = plan.operating(ratio).refused, plan.operating(1.0).accepted
    assert producers <= risk / (1 - risk)
    assert consumers <= risk / (1 - risk)
    assert producers + consumers <= 2 * risk
    # Wald's identity: failures come at 1 / mtbf, so their mean number is the mean length over the MTBF;
    # the approximation leaves out the overshoot and so is a little short
    mean = expected_failures(ratio, risk, risk)
    assert 1 < plan.operating(1.0).mean_length / mean.at_lower < 1.35
    assert 1 < plan.operating(ratio).mean_length / ratio / mean.at_higher < 1.35


@given(st.floats(0.1, 100), st.integers(0, 60), st.floats(0.1, 10))
def test_a_fixed_plan_is_a_poisson_tail(length: float, at_most: int, mtbf: float) -> None:
    plan = FixedPlan(length, at_most)
    assert plan.chance_to_accept(mtbf) == pytest.approx(poisson.cdf(at_most, length / mtbf), abs=1e-12)
    assert plan.chance_to_accept(mtbf) + plan.chance_to_refuse(mtbf) == pytest.approx(1, abs=1e-12)


@pytest.mark.parametrize(
    ("ask", "says"),
    [
        (lambda: wald_lines(1, 0.1, 0.1), "A ratio of 1 tells no two MTBFs apart"),
        (lambda: wald_lines(2, 0.6, 0.4), "Risks of 0.6 and 0.4 leave nothing to decide"),
        (lambda: expected_failures(2, 0, 0.1), "Risks of 0 and 0.1 leave nothing"),
        (lambda: WaldLines(0, 1, 1), "enclose no test"),
        (lambda: SequentialPlan(LINES, 0, 20), "A test cut off at 0 failures"),
        (lambda: FixedPlan(0, 3), "A test of length 0 is none"),
        (lambda: FixedPlan(3, -1), "-1 failures cannot be counted"),
        (lambda: PLAN.operating(0), "An MTBF of 0 is none"),
        (lambda: FixedPlan(3, 1).chance_to_refuse(-2), "An MTBF of -2 is none"),
    ],
)
def test_what_is_no_plan_is_refused(ask: object, says: str) -> None:
    assert callable(ask)
    with pytest.raises(QuestionError, match=says):
        ask()
