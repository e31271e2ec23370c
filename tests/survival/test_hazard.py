from __future__ import annotations

import math

import numpy as np
import pytest
import slow_survival as slow
import statsmodels.api as sm
from hypothesis import given, settings
from hypothesis import strategies as st

from reliability.errors import QuestionError
from reliability.loaders.exposure import BAND_ENDS
from reliability.rate import Rate
from reliability.risk_table import risk_table
from reliability.survival.hazard import AGE_BANDS, hazard
from survival.fleets import many_lives, some_lives, table_of

BEGINS = st.lists(st.integers(0, 60), min_size=1, max_size=6, unique=True).map(sorted)


@given(some_lives | many_lives, BEGINS)
@settings(deadline=None)
def test_bands_hold_what_each_life_has_in_them(lives: list[slow.Life], begins: list[int]) -> None:
    bands = hazard(table_of(lives), begins).bands
    for band, begin, end in zip(bands, begins, [*begins[1:], math.inf], strict=True):
        failures, days = slow.band(lives, begin, end)
        assert (band.from_days, band.to_days) == (begin, None if end == math.inf else end)
        assert band.rate == Rate(failures, days)


@given(some_lives | many_lives, BEGINS)
@settings(deadline=None)
def test_bands_from_0_add_up_to_all(lives: list[slow.Life], begins: list[int]) -> None:
    table = table_of(lives)
    bands = hazard(table, sorted({0, *begins})).bands
    assert sum((band.rate for band in bands), Rate(0, 0)) == Rate(table.failures, table.drive_days)


def test_bands_end_where_those_of_the_store_do() -> None:
    """Floors of 365 times 1/4, 1, 2, 3, 4, 5 and 7 years, as the table of rates by age has them."""
    assert (0, *BAND_ENDS) == AGE_BANDS
    assert [math.floor(365 * years) for years in (0.25, 1, 2, 3, 4, 5, 7)] == list(AGE_BANDS[1:])


def test_a_failure_on_the_last_day_of_a_band_is_in_it() -> None:
    bands = hazard(risk_table([0, 0], [91, 92], ["failed", "failed"])).bands
    assert [(band.name, band.rate.failures, band.rate.drive_days) for band in bands[:2]] == [
        ("0 to 91 days", 1, 182),
        ("91 to 365 days", 1, 1),
    ]


@pytest.mark.parametrize("seed", range(5))
def test_the_test_of_one_rate_is_the_deviance_of_poisson_regression(seed: int) -> None:
    """statsmodels: failures by band, with the logarithm of drive-days as offset."""
    rng = np.random.default_rng(seed)
    entry = rng.integers(0, 1000, 300)
    exit_ = entry + rng.integers(1, 1500, 300)
    found = hazard(risk_table(entry, exit_, rng.choice(["failed", "retired"], 300, p=[0.2, 0.8])))
    seen = [band.rate for band in found.bands if band.rate.drive_days]
    failures, days = [rate.failures for rate in seen], [rate.drive_days for rate in seen]
    model = sm.GLM(failures, np.ones(len(seen)), sm.families.Poisson(), offset=np.log(days)).fit()
    assert found.one_rate is not None
    assert found.one_rate.statistic == pytest.approx(float(model.deviance), abs=1e-6)
    assert found.one_rate.degrees == model.df_resid


def test_equal_rates_are_no_reason_to_doubt_one_rate() -> None:
    found = hazard(risk_table([0, 0, 100, 100], [50, 100, 150, 200], ["failed", "retired"] * 2), [0, 100])
    assert found.one_rate is not None
    assert found.one_rate.statistic == pytest.approx(0, abs=1e-12)
    assert found.one_rate.p_value == pytest.approx(1)


# The edges.
def test_without_a_failure_there_is_nothing_to_test_but_limits_are_exact() -> None:
    found = hazard(risk_table([0] * 10, [365] * 10, ["in service"] * 10), [0])
    assert found.one_rate is None
    assert str(found) == f"age over 0 days: {Rate(0, 3650)}"


def test_without_lives_there_is_no_exposure_anywhere() -> None:
    found = hazard(risk_table([], [], []))
    assert str(found) == "No exposure: no drive was at risk, so there is no rate"
    frame = found.to_frame()
    assert frame["failures"].sum() == 0
    assert frame["rate"].isna().all()
    assert frame["high"].tolist() == [math.inf] * len(AGE_BANDS)


def test_the_frame_has_a_row_a_band_with_the_limits_of_its_rate() -> None:
    frame = hazard(risk_table([0] * 9, [80] * 9, ["failed"] * 3 + ["retired"] * 6), level=0.9).to_frame()
    limits = Rate(3, 720).interval(0.9)
    assert [frame[name][0] for name in ("failures", "drive_years")] == [3, 720 / 365]
    assert [frame[name][0] for name in ("low", "high")] == [limits.low, limits.high]
    assert frame["age_to_days"].isna().tolist() == [False] * 7 + [True]


@pytest.mark.parametrize("bands", [[], [91, 0], [0, 0], [-1, 5], [0, float("nan")], [0, float("inf")]])
def test_bands_that_do_not_rise_are_refused(bands: list[float]) -> None:
    with pytest.raises(QuestionError, match="do not rise from 0 or more; give each age at which one begins"):
        hazard(risk_table([0], [9], ["failed"]), bands)


def test_a_level_that_is_none_is_refused() -> None:
    with pytest.raises(QuestionError, match="A level of 95 is not strictly between 0 and 1"):
        hazard(risk_table([0], [9], ["failed"]), level=95)
