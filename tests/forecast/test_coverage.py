"""What the studies of test_coverage.py do not ask of forecasts: spares, which way is taken, and where limits break."""

from __future__ import annotations

import pytest
from numpy.random import default_rng
from validation.coverage.forecasts import Held, held

FLEETS = 100


def found(shape: float, failures: float, *, late: bool) -> Held:
    return held(default_rng(8), FLEETS, shape, failures, late=late)


@pytest.mark.parametrize("failures", [6, 25, 60])
def test_spares_are_enough_as_often_as_said_at_a_constant_rate(failures: int) -> None:
    assert found(1.0, failures, late=True).spares >= 0.94


@pytest.mark.parametrize(("shape", "failures"), [(0.6, 25), (0.6, 60), (2.0, 60), (4.0, 60)])
def test_at_a_rate_that_goes_with_age_most_are_forecast_by_age(shape: float, failures: int) -> None:
    told = found(shape, failures, late=False)
    assert told.by_age > 0.6
    assert 0.93 <= told.limits < 0.99
    assert told.spares >= 0.93


def test_with_few_failures_a_steep_rise_is_not_always_seen() -> None:
    """What the methods say of it: a shape of 4 shows in most fleets, one rate is taken in the others and breaks."""
    told = found(4.0, 6, late=True)
    assert 0.4 < told.by_age < 0.8
    assert 0.8 < told.limits < 0.93
