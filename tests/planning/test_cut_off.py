"""Plans chosen for given risks: against printed tables, their own exact risks, and simulated tests."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.stats import chi2

from reliability.errors import QuestionError
from reliability.planning.cut_off import CLOSENESS, LATEST, fixed_plan, sequential_plan

RATIOS = (1.5, 2, 3, 5, 10)
# Failures that refuse, by the ratio of the MTBFs: Epstein & Sobel (1953), Journal of the American Statistical
# Association 48, 486-502, as many handbooks print it; from memory.
PRINTED = {0.1: (41, 15, 6, 3, 2), 0.05: (67, 23, 10, 5, 3)}


@pytest.mark.parametrize("risk", PRINTED)
def test_failures_of_plans_of_fixed_length_are_as_printed(risk: float) -> None:
    assert tuple(fixed_plan(ratio, risk, risk).at_most + 1 for ratio in RATIOS) == PRINTED[risk]


@pytest.mark.parametrize(("producers", "consumers"), [(0.1, 0.1), (0.05, 0.3), (0.3, 0.05), (0.01, 0.01)])
@pytest.mark.parametrize("ratio", RATIOS)
def test_a_plan_of_fixed_length_is_the_shortest_that_keeps_both_risks(
    ratio: float, producers: float, consumers: float
) -> None:
    plan = fixed_plan(ratio, producers, consumers)
    assert plan.length == pytest.approx(chi2.isf(consumers, 2 * plan.at_most + 2) / 2)
    assert plan.chance_to_accept(1) == pytest.approx(consumers)
    assert plan.chance_to_refuse(ratio) <= producers
    if plan.at_most:  # with one failure fewer the producer's risk is too large
        shorter = chi2.isf(consumers, 2 * plan.at_most)
        assert chi2.cdf(shorter / ratio, 2 * plan.at_most) > producers


@pytest.mark.parametrize(("producers", "consumers"), [(0.1, 0.1), (0.2, 0.2), (0.01, 0.01), (0.05, 0.3)])
@pytest.mark.parametrize("ratio", RATIOS)
def test_a_sequential_plan_keeps_its_risks_nearly_and_is_over_sooner(
    ratio: float, producers: float, consumers: float
) -> None:
    plan, fixed = sequential_plan(ratio, producers, consumers), fixed_plan(ratio, producers, consumers)
    good, bad = plan.operating(ratio), plan.operating(1)
    latest = plan.last_failure == LATEST * (fixed.at_most + 1)
    assert latest or good.refused <= CLOSENESS * producers
    assert latest or bad.accepted <= CLOSENESS * consumers
    assert good.refused + bad.accepted <= CLOSENESS * (producers + consumers)
    assert bad.mean_length < fixed.length
    assert good.mean_length < fixed.length


def test_simulated_tests_end_as_the_plan_says() -> None:
    """Failure by failure, 20,000 tests at each rate."""
    rng = np.random.default_rng(11)
    plan = sequential_plan(2)
    accept, refuse = plan.accept_times(), plan.refuse_times()
    for mtbf in (1, 2):
        times = rng.exponential(mtbf, size=(20_000, plan.last_failure)).cumsum(axis=1)
        accepts = times > accept  # the test had passed before its r-th failure came, r from 1
        refuses = times <= refuse[1:]
        first_accept = np.where(accepts.any(axis=1), accepts.argmax(axis=1), plan.last_failure)
        first_refuse = np.where(refuses.any(axis=1), refuses.argmax(axis=1), plan.last_failure)
        accepted = float((first_accept <= first_refuse).mean())
        assert accepted == pytest.approx(plan.operating(mtbf).accepted, abs=0.011)  # three standard errors


def test_rates_too_near_are_refused() -> None:
    with pytest.raises(
        QuestionError, match=r"A ratio of 1.2 takes hundreds of failures .* give 1.25 or more"
    ):
        fixed_plan(1.2)
    with pytest.raises(QuestionError, match=r"leave nothing to decide"):
        sequential_plan(2, 0.5, 0.5)
    with pytest.raises(QuestionError, match=r"A ratio of 1 tells no two MTBFs apart"):
        sequential_plan(1)
