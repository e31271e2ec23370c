"""Failures to come at one rate: against exact sums, scipy's negative binomial, and printed limits."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import example, given
from hypothesis import strategies as st
from published_values import entries
from scipy.stats import nbinom

from reliability.forecast.constant import constant_counts, constant_limits, days_to_come
from reliability.rate import Rate


def chance_of(failures: int, drives: int, shape: float, step: float) -> float:
    """Chance of so many of a few drives, exactly: a sum of moments of exp(-rate x days), whose mean is known.

    step  days to come over days so far; the mean of exp(-j x rate x days) is (1 + j x step)^-shape
    """
    survivors = drives - failures
    terms = [
        (-1.0) ** j * math.comb(failures, j) * (1 + (survivors + j) * step) ** -shape
        for j in range(failures + 1)
    ]
    return math.comb(drives, failures) * math.fsum(terms)


@given(st.integers(0, 30), st.floats(0.001, 20), st.integers(1, 8))
@example(0, 20.0, 1)
@example(3, 2.0, 1)
def test_every_chance_is_exact_for_a_few_drives(x: int, step: float, drives: int) -> None:
    found = constant_counts(Rate(x, 1000), drives, 1000 * step).chances
    exact = [chance_of(count, drives, x + 0.5, step) for count in range(found.size)]
    assert found.size <= drives + 1
    assert found == pytest.approx(exact, abs=1e-7)


@given(st.integers(0, 60), st.floats(1, 1e6), st.integers(1, 500), st.floats(1, 1000))
def test_the_mean_is_that_of_drives_which_fail_once(x: int, past: float, drives: int, days: float) -> None:
    mean = drives * (1 - (past / (past + days)) ** (x + 0.5))
    assert constant_counts(Rate(x, past), drives, days).mean == pytest.approx(mean, rel=1e-5)
    to_come = days_to_come(Rate(x, past), drives, days)
    assert to_come * (x + 0.5) / past == pytest.approx(mean, rel=1e-9)
    assert to_come <= drives * days * (1 + 1e-12)


@given(st.integers(0, 60), st.floats(1e4, 1e6), st.floats(0.01, 3))
def test_it_is_negative_binomial_where_few_of_the_drives_fail(x: int, past: float, share: float) -> None:
    """Exposure to come in proportion to that so far, a million drives that each run shortly."""
    drives = 1_000_000
    found = constant_counts(Rate(x, past), drives, share * past / drives).chances
    outside = nbinom.pmf(np.arange(found.size), x + 0.5, 1 / (1 + share))
    assert found == pytest.approx(outside, abs=1e-4)


def test_printed_prediction_limits() -> None:
    """24 shutdowns in 5 years: limits for the next half year, year and 5 years (Nelson 1970; Hahn & Meeker)."""
    printed = entries("prediction_intervals")["pred_24_5"]["expected"]
    drives = 10_000_000  # so many that each fails with next to no chance, and runs so short
    for years in ("0.5", "1", "5"):
        limits = constant_limits(Rate(24, 5), drives, float(years) / drives)
        assert (limits.low, limits.high) == (printed.get(f"L{years}", 0), printed[f"U{years}"])


def test_nothing_failed_is_no_promise() -> None:
    """P(no failure) = sqrt(T / (T + t)) with Gamma(1/2, T): after as much exposure again that is 0.707."""
    counts = constant_counts(Rate(0, 1e9), 1_000, 1e6)
    assert counts.at_most(0) == pytest.approx(np.sqrt(0.5), abs=1e-3)
    assert counts.mean == pytest.approx(0.5, rel=1e-3)
    assert counts.enough(0.95) > 0
    assert constant_limits(Rate(0, 1e9), 1_000, 1e6).high >= 3


def test_one_drive_fails_once_at_most_with_its_own_chance() -> None:
    counts = constant_counts(Rate(3, 100), 1, 200)
    assert counts.chances.tolist() == pytest.approx([(100 / 300) ** 3.5, 1 - (100 / 300) ** 3.5])
    assert constant_limits(Rate(3, 100), 1, 200).high == 1


@given(st.integers(0, 40), st.floats(1000, 1e6), st.integers(1, 500), st.floats(1, 9))
def test_spread_between_batches_widens_and_never_narrows(
    x: int, past: float, drives: int, dispersion: float
) -> None:
    narrow = constant_limits(Rate(x, past), drives, 90)
    wide = constant_limits(Rate(x, past), drives, 90, dispersion=dispersion)
    assert wide.low <= narrow.low
    assert wide.high >= narrow.high
