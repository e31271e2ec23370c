"""Rates by age band: against Gamma quantiles from scipy, and by hand."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.stats import gamma, kstest

from reliability.forecast.band_draws import BandDraws, band_draws
from reliability.risk_table import risk_table


def test_each_band_is_drawn_from_its_own_failures_and_exposure() -> None:
    """4 failures in the first 91 days, 6 later: Gamma(4.5, exposure) and Gamma(6.5, exposure)."""
    table = risk_table([0] * 100, [50] * 4 + [200] * 6 + [300] * 90, ["failed"] * 10 + ["in service"] * 90)
    drawn = band_draws(table, np.random.default_rng(1), 4_000)
    assert drawn.begins.tolist() == [0, 91]
    days = [4 * 50 + 96 * 91, 6 * 109 + 90 * 209]
    for band, failures in enumerate((4, 6)):
        outside = gamma(failures + 0.5, scale=1 / days[band])
        assert kstest(drawn.rates[:, band], outside.cdf).pvalue > 0.001


def test_bands_without_failures_enough_join_the_next() -> None:
    table = risk_table([0] * 50, [400] * 50, ["failed"] * 5 + ["in service"] * 45)
    assert band_draws(table, np.random.default_rng(1), 2).begins.tolist() == [0]
    late = risk_table([500] * 50, [900] * 50, ["failed"] * 20 + ["in service"] * 30)
    assert band_draws(late, np.random.default_rng(1), 2).begins.tolist() == [0, 730]


def test_what_is_due_runs_through_the_bands() -> None:
    drawn = BandDraws(np.array([0.0, 100.0]), np.array([[1.0, 10.0]]), np.array([1.0]))
    due = drawn.due(np.array([0.0, 90.0, 100.0, 5_000.0]), 20)
    assert due.tolist() == pytest.approx(np.array([[20.0, 10 + 100, 200, 200]]))
