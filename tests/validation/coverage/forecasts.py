"""Failures to come: how often limits and spares hold them, in fleets of known shape.

The chance that the limits of one fleet hold is computed from the true distribution of its failures to come, not
counted, so that few fleets tell it well.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np
from forecast.aged import truth

from reliability.forecast.binomials import mixed_binomials
from reliability.forecast.model import Method, forecast
from reliability.survival.weibull import weibull
from reliability.survival.weibull_life import Weibull
from validation.coverage.study import Study

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from numpy.random import Generator

    from reliability.forecast.counts import Counts

AHEAD = 120
DRAWS = 400
KEPT = (  # shape, failures expected so far, whether some are old at first sight
    (1.0, 6, True),
    (1.0, 25, True),
    (0.6, 25, False),
    (2.0, 25, True),
    (2.0, 60, False),
    (4.0, 12, True),
    (4.0, 60, False),
)
BROKEN = ((4.0, 6, True), (4.0, 6, False))  # a rise that so few failures do not always show


class Held(NamedTuple):
    """Chances that the limits held, that the spares were enough, and that limits of the plug-in held."""

    limits: float
    spares: float
    plug_in: float
    by_age: float  # share of the fleets that were forecast by age
    scatter: float  # standard error of the first


def held(rng: Generator, fleets: int, shape: float, failures: float, *, late: bool) -> Held:
    """So many fleets of which so many drives are expected to fail in 700 days, forecast for the next 120."""
    fleet, found = truth(shape, failures, late=late), []
    for _ in range(fleets):
        table, drives = fleet.lives(rng)
        to_come = fleet.to_come(drives, AHEAD)
        made = forecast(table, drives, AHEAD, rng=rng, draws=DRAWS)
        fit = weibull(table)
        plug_in = np.nan
        if isinstance(fit, Weibull):
            due = fit.integrated_hazard(drives.age + AHEAD) - fit.integrated_hazard(drives.age)
            plug_in = _within(to_come, mixed_binomials(-np.expm1(-due)[np.newaxis], drives.drives))
        by_age = made.method in (Method.WEIBULL, Method.BANDS)
        low, high = int(made.interval.low), int(made.interval.high)
        chance = to_come.at_most(high) - to_come.at_most(low - 1)
        found.append((chance, to_come.at_most(made.spares), plug_in, by_age))
    chances = np.array(found, dtype=float)
    limits, spares, plug_in, by_age = np.nanmean(chances, axis=0).tolist()
    return Held(limits, spares, plug_in, by_age, scatter=float(chances[:, 0].std() / np.sqrt(fleets)))


def to_come(rng: Generator, fleets: int) -> Iterator[Study]:
    """At a constant rate, and at rates that fall and rise with age."""
    return _studies(rng, fleets, KEPT)


def unseen_rise(rng: Generator, fleets: int) -> Iterator[Study]:
    """At rates that rise with age where too few have failed for that to show always."""
    return _studies(rng, fleets, BROKEN)


def _studies(rng: Generator, fleets: int, settings: Sequence[tuple[float, int, bool]]) -> Iterator[Study]:
    for shape, failures, late in settings:
        found = held(rng, fleets, shape, failures, late=late)
        setting = f"300 drives, {'up to 900 days old' if late else 'new'} at first sight, shape {shape:g}, "
        setting += f"failures expected so far: {failures}"
        yield Study(
            method="Failures to come: prediction limits",
            setting=setting,
            nominal=0.95,
            covered=found.limits,
            simulations=fleets,
            control="one Weibull fit taken as the truth",
            control_covered=found.plug_in,
            tolerated=0.02,
            scatter=found.scatter,
        )


def _within(to_come: Counts, told: Counts) -> float:
    limits = told.limits()
    return to_come.at_most(int(limits.high)) - to_come.at_most(int(limits.low) - 1)
