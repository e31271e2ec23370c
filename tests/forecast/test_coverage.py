"""How often limits and spares hold what comes, in simulated fleets of known shape, with a seed.

The chance that the limits of one fleet hold is computed from the true distribution of its failures to come, not
counted, so that few fleets tell it well. Expected coverage at 6 to 60 failures: methods, "Forecasts".
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np
import pytest

from forecast.aged import truth
from reliability.forecast.binomials import mixed_binomials
from reliability.forecast.model import Method, forecast
from reliability.survival.weibull import weibull
from reliability.survival.weibull_life import Weibull

if TYPE_CHECKING:
    from reliability.forecast.counts import Counts

AHEAD = 120
FLEETS = 150


class Held(NamedTuple):
    """Chances that the limits held, that the spares were enough, and that limits of the plug-in held."""

    limits: float
    spares: float
    plug_in: float
    by_age: float  # share of the fleets that were forecast by age


def held(shape: float, failures: float, *, late: bool) -> Held:
    rng = np.random.default_rng(8)
    fleet, found = truth(shape, failures, late=late), []
    for _ in range(FLEETS):
        table, drives = fleet.lives(rng)
        to_come = fleet.to_come(drives, AHEAD)
        made = forecast(table, drives, AHEAD, rng=rng, draws=400)
        fit = weibull(table)
        plug_in = np.nan
        if isinstance(fit, Weibull):
            due = fit.integrated_hazard(drives.age + AHEAD) - fit.integrated_hazard(drives.age)
            plug_in = chance_within(to_come, mixed_binomials(-np.expm1(-due)[np.newaxis], drives.drives))
        by_age = made.method in (Method.WEIBULL, Method.BANDS)
        low, high = int(made.interval.low), int(made.interval.high)
        chance = to_come.at_most(high) - to_come.at_most(low - 1)
        found.append((chance, to_come.at_most(made.spares), plug_in, by_age))
    return Held(*np.nanmean(np.array(found, dtype=float), axis=0).tolist())


def chance_within(to_come: Counts, told: Counts) -> float:
    limits = told.limits()
    return to_come.at_most(int(limits.high)) - to_come.at_most(int(limits.low) - 1)


@pytest.mark.parametrize("failures", [6, 25, 60])
def test_at_a_constant_rate_they_hold_as_often_as_said(failures: int) -> None:
    found = held(1.0, failures, late=True)
    assert found.limits >= 0.95
    assert found.spares >= 0.94


@pytest.mark.parametrize(("shape", "failures"), [(0.6, 25), (0.6, 60), (2.0, 60), (4.0, 60)])
def test_at_a_rate_that_goes_with_age_they_hold_about_as_often(shape: float, failures: int) -> None:
    found = held(shape, failures, late=False)
    assert found.by_age > 0.6
    assert 0.93 <= found.limits < 0.99
    assert found.spares >= 0.93


@pytest.mark.parametrize(("shape", "failures"), [(2.0, 25), (2.0, 60), (4.0, 60)])
def test_with_the_fit_in_place_of_the_truth_they_do_not(shape: float, failures: int) -> None:
    """The negative control: one fit taken as the truth, the usual shortcut."""
    found = held(shape, failures, late=False)
    assert found.plug_in < 0.92
    assert found.plug_in < found.limits - 0.03


def test_with_few_failures_a_steep_rise_is_not_seen() -> None:
    """What the methods say of it: under 10 failures one rate is taken, and a shape of 4 then breaks the limits."""
    found = held(4.0, 6, late=True)
    assert found.by_age < 0.2
    assert found.limits < 0.9
