"""Distributions of counts: what is read off them, and sums."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import binom

from reliability.errors import QuestionError
from reliability.forecast.counts import NOTHING, Counts

some_counts = st.lists(st.floats(0.001, 1), min_size=1, max_size=30).map(lambda each: Counts(np.array(each)))


@given(some_counts, st.floats(0.01, 0.99))
def test_limits_and_spares_are_the_outermost_counts_that_are_not_too_rare(
    counts: Counts, level: float
) -> None:
    tail, limits, spares = (1 - level) / 2, counts.limits(level), counts.enough(level)
    assert counts.at_most(int(limits.low) - 1) <= tail < counts.at_most(int(limits.low)) + 1e-12
    assert counts.at_most(int(limits.high)) >= 1 - tail - 1e-12
    assert limits.high == limits.low or counts.at_most(int(limits.high) - 1) < 1 - tail + 1e-12
    assert counts.at_most(spares) >= level - 1e-12
    assert counts.at_most(spares - 1) < level + 1e-12


@given(some_counts, some_counts)
def test_a_sum_has_the_mean_of_both_and_its_order_does_not_matter(one: Counts, other: Counts) -> None:
    assert (one + other).mean == pytest.approx(one.mean + other.mean)
    assert (one + other).chances == pytest.approx((other + one).chances)
    assert (one + NOTHING).chances == pytest.approx(one.chances)


def test_two_binomials_of_one_chance_add_up_to_a_third() -> None:
    parts = [Counts(binom.pmf(np.arange(n + 1), n, 0.3)) for n in (20, 50)]
    found = (parts[0] + parts[1]).chances
    assert found == pytest.approx(binom.pmf(np.arange(found.size), 70, 0.3), abs=1e-12)
    assert found.size < 60  # of 71: what is as good as impossible is let go


def test_a_level_that_is_none_is_refused() -> None:
    with pytest.raises(QuestionError, match="A level of 95"):
        NOTHING.enough(95)
    with pytest.raises(QuestionError, match="A level of 0"):
        NOTHING.limits(0)
