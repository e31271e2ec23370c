"""Shares with exact limits against scipy and printed ones, and lead times by hand."""

from __future__ import annotations

import pytest
from scipy.stats import binom, binomtest

from reliability.errors import QuestionError
from reliability.signals.warning import share, warnings

# Clopper & Pearson limits as printed in tables of the binomial, from memory: 0 of 10, 1 of 10, 5 of 10, 10 of 10.
PRINTED = {
    (0, 10): (0.0, 0.3085),
    (1, 10): (0.0025, 0.4450),
    (5, 10): (0.1871, 0.8129),
    (10, 10): (0.6915, 1.0),
}


@pytest.mark.parametrize(("counts", "limits"), PRINTED.items())
def test_limits_agree_with_printed_ones(counts: tuple[int, int], limits: tuple[float, float]) -> None:
    found = share(*counts).interval
    assert found is not None
    assert (found.low, found.high) == pytest.approx(limits, abs=5e-5)


@pytest.mark.parametrize("of", [1, 7, 40])
def test_limits_agree_with_scipy(of: int) -> None:
    for count in range(of + 1):
        theirs = binomtest(count, of).proportion_ci(0.9, method="exact")
        found = share(count, of, level=0.9).interval
        assert found is not None
        assert (found.low, found.high) == pytest.approx((theirs.low, theirs.high), abs=1e-9)


def covered(of: int, truth: float, limits: list[tuple[float, float]]) -> float:
    return float(sum(binom.pmf(x, of, truth) for x, (low, high) in enumerate(limits) if low <= truth <= high))


@pytest.mark.parametrize("truth", [0.01, 0.1, 0.37, 0.9])
def test_limits_cover_where_the_usual_approximation_does_not(truth: float) -> None:
    of = 20
    exact = [(i.low, i.high) for x in range(of + 1) if (i := share(x, of).interval) is not None]
    assert covered(of, truth, exact) >= 0.95
    around = [(x / of, 1.96 * (x / of * (1 - x / of) / of) ** 0.5) for x in range(of + 1)]
    assert covered(of, truth, [(at - reach, at + reach) for at, reach in around]) < 0.95


def test_lead_times_by_hand() -> None:
    found = warnings([1, None, 2, 4, 8, None, 16], in_service=10, warned_in_service=3)
    assert found.lead_time is not None
    lead = found.lead_time
    assert (lead.least, lead.lower_quartile, lead.median, lead.upper_quartile, lead.most) == (1, 2, 4, 8, 16)
    assert (found.failures.count, found.failures.of) == (5, 7)
    assert found.in_service.value == 0.3


def test_without_a_warning_there_is_no_lead_time() -> None:
    for lead_days in ([], [None, None]):
        found = warnings(lead_days, 0, 0)
        assert found.lead_time is None
        assert found.failures.of == len(lead_days)
        assert found.in_service.value is None


def test_a_share_of_more_than_all_is_refused() -> None:
    with pytest.raises(QuestionError, match="3 of 2 is no share; give a count from 0"):
        share(3, 2)
