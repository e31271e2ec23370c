from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.stats import chisquare

from reliability.errors import QuestionError
from reliability.risk_table import RiskTable, risk_table
from reliability.survival.band_fit import BandFit, band_fit
from reliability.survival.hazard import AGE_BANDS
from reliability.survival.weibull import weibull
from reliability.survival.weibull_life import Weibull
from survival.fits import fitted
from survival.fleets import many_lives, outcomes, table_of, weibull_lives

if TYPE_CHECKING:
    from slow_survival import Life


def simulated(seed: int, shape: float, scale: float) -> RiskTable:
    rng = np.random.default_rng(seed)
    entry = np.where(rng.random(3000) < 0.5, 0.0, np.floor(rng.uniform(0, 1500, 3000)))
    exit_, failed = weibull_lives(rng, entry, shape, scale, 900)
    return risk_table(entry, np.maximum(np.ceil(exit_), entry + 1), outcomes(failed), exact=False)


def test_expected_failures_are_the_hazard_integrated_over_all_at_risk() -> None:
    """By quadrature of the fitted hazard times the drives at risk, with scipy."""
    entry, exit_ = [0.0, 100.0, 500.0, 800.0] * 25, [400.0, 900.0, 1200.0, 2000.0] * 25
    ends = (["failed"] * 3 + ["retired"]) * 25
    table = risk_table(entry, exit_, ends)
    fit = fitted(table)
    k, scale = fit.shape.value, fit.scale.value

    def rate(age: float) -> float:
        return k / scale * math.pow(age / scale, k - 1)

    bands = (0, 450, 850, 1100)
    found = band_fit(table, fit, bands)
    for band, end in zip(found.bands, (450, 850, 1100, 3000), strict=True):
        spans = [(max(e, band.from_days), min(x, end)) for e, x in zip(entry[:4], exit_, strict=False)]
        due = sum(quad(rate, *span)[0] for span in spans if span[0] < span[1]) * 25
        assert band.expected == pytest.approx(due, rel=1e-8)
    assert [band.failures for band in found.bands] == [25, 0, 25, 25]


@given(many_lives, st.sampled_from([0.0, 0.5]))
@settings(deadline=None)
def test_bands_add_up_to_all_failures_and_expect_as_many(lives: list[Life], early: float) -> None:
    table = table_of(lives, exact=not early)
    fit = weibull(table)
    if isinstance(fit, Weibull):
        found = band_fit(table, fit, [0, 10, 20, 30, 40, 50])
        assert sum(band.failures for band in found.bands) == table.failures
        assert sum(band.expected for band in found.bands) == pytest.approx(table.failures, rel=1e-6)
        assert len(found.bands) == 1 or min(band.expected for band in found.bands) >= 3
        ends = [band.to_days for band in found.bands]
        assert [band.from_days for band in found.bands] == [0, *ends[:-1]]
        assert ends[-1] is None


@pytest.mark.parametrize("seed", range(3))
def test_the_test_is_that_of_scipy_with_two_degrees_less(seed: int) -> None:
    table = simulated(seed, 1.3, 9000)
    found = band_fit(table, fitted(table))
    seen, due = ([getattr(band, name) for band in found.bands] for name in ("failures", "expected"))
    theirs = chisquare(seen, due, ddof=1)  # scipy takes one degree for the total, and one more
    assert found.test is not None
    assert found.test.degrees == len(found.bands) - 2
    assert found.test.statistic == pytest.approx(theirs.statistic)
    assert found.test.p_value == pytest.approx(theirs.pvalue)


def test_a_weibull_fleet_fits_about_as_often_as_it_should() -> None:
    """60 seeded fleets: about one in twenty is refused at 5 %; 8 or more would have a chance under 1 %."""
    fits = [band_fit(table, fitted(table)) for table in (simulated(seed, 0.9, 20_000) for seed in range(60))]
    assert sum(fit.holds is False for fit in fits) < 8
    assert all(fit.holds is not None for fit in fits)


def test_a_bathtub_is_no_weibull() -> None:
    """The negative control: early failures and wear-out at once."""
    rng = np.random.default_rng(3)
    early, late = 5e6 * rng.weibull(0.3, 4000), 3500 * rng.weibull(8, 4000)
    life = np.maximum(np.ceil(np.minimum(early, late)), 1)
    exit_ = np.minimum(life, 3000)
    table = risk_table(np.zeros(4000), exit_, outcomes(life == exit_), exact=False)
    found = band_fit(table, fitted(table))
    assert found.holds is False
    assert str(found).startswith("Fit does not hold by age band: chi-square ")


def test_few_failures_are_not_judged() -> None:
    table = risk_table([0] * 50, [100, 600, *[900] * 48], ["failed"] * 2 + ["retired"] * 48)
    found = band_fit(table, fitted(table))
    assert (found.test, found.holds, len(found.bands)) == (None, None, 1)
    assert (
        str(found) == "Fit by age band not judged: it takes 3 bands in which 3 or more failures are expected"
    )


def test_it_prints_one_line_and_has_a_row_a_band() -> None:
    table = simulated(1, 1.3, 9000)
    found = band_fit(table, fitted(table))
    assert found.holds
    assert f"{found}" == f"Fit holds by age band: {found.test} over {len(found.bands)} bands"
    frame = found.to_frame()
    assert frame["failures"].sum() == table.failures
    assert frame["age_from_days"].tolist()[0] == AGE_BANDS[0]
    assert math.isclose(frame["expected"].sum(), table.failures, rel_tol=1e-6)


def test_bands_that_do_not_rise_are_refused() -> None:
    table = simulated(1, 1.3, 9000)
    with pytest.raises(QuestionError, match="do not rise from 0 or more"):
        band_fit(table, fitted(table), [5, 1])


def test_bands_start_where_they_are_told_to() -> None:
    table = simulated(1, 1.3, 9000)
    found: BandFit = band_fit(table, fitted(table), [365, 1000, 1500])
    assert sum(band.failures for band in found.bands) == int(table.failed[table.age > 365].sum())
