"""Hazard ratios of a warning: how often limits hold the factor by which it multiplies the hazard.

A fleet has two models whose hazards by age differ. Drives come at any age, some find a bad sector some day, and
from the day after it they fail FACTOR times as often. Ages are whole days, as in snapshots.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, TypeAlias

import numpy as np

from reliability.rate import Rate
from reliability.risk_table import RiskTable, risk_table
from reliability.signals.cox import cox_hazard_ratio
from reliability.signals.hazard_ratio import HazardRatio, Refused
from reliability.signals.split_rates import SplitRate, poisson_hazard_ratio
from reliability.survival.hazard import hazard
from validation.coverage.study import Study

if TYPE_CHECKING:
    from collections.abc import Iterator

    from numpy.random import Generator
    from numpy.typing import NDArray

    Days = NDArray[np.int64]

States: TypeAlias = tuple[RiskTable, RiskTable]  # of one model: unexposed, exposed

FACTOR = 3.0


@dataclass(frozen=True)
class Drives:
    """Drives of one model: ages in whole days, and whether the last day was that of a failure."""

    entry: Days
    exit: Days
    turn: Days  # the age at whose end the first bad sector was read; beyond the exit if there was none
    failed: NDArray[np.bool_]


def drives(rng: Generator, number: int, first_year: float, later: float) -> Drives:
    """Draw drives with a hazard for the first year of age and another later, in failures a day."""
    entry = rng.integers(0, 500, number)
    end = entry + rng.integers(200, 700, number)
    turn = np.where(rng.random(number) < 0.6, entry + rng.integers(1, 500, number), 10_000)
    age = np.arange(1, 1300)[:, np.newaxis]  # at the end of a day
    per_day = np.where(age <= 365, first_year, later) * np.where(age > turn, FACTOR, 1.0)
    fails = (rng.random(per_day.shape) < per_day) & (age > entry) & (age <= end)
    failed = np.asarray(fails.any(axis=0))
    return Drives(entry, np.where(failed, fails.argmax(axis=0) + 1, end), turn, failed)


def by_state(of: Drives) -> States:
    """Each drive unexposed up to the end of the day of its first bad sector, exposed from the day after."""
    turn = np.clip(of.turn, of.entry, of.exit)
    sound, warned = turn > of.entry, turn < of.exit
    unexposed = risk_table(of.entry[sound], turn[sound], _ends((of.failed & ~warned)[sound]), exact=False)
    return unexposed, risk_table(turn[warned], of.exit[warned], _ends(of.failed[warned]), exact=False)


def immortal(of: Drives) -> States:
    """The wrong way: each drive in one state all its life, by whether it was ever to find a bad sector."""
    ever = of.turn < of.exit
    sound, warned = (
        risk_table(of.entry[some], of.exit[some], _ends(of.failed[some]), exact=False)
        for some in (~ever, ever)
    )
    return sound, warned


def by_rates(strata: list[States]) -> bool:
    """Whether the limits of Poisson regression on the split table hold the factor."""
    split = [
        SplitRate(
            f"model {model}", int(band.from_days), exposed, Rate(band.rate.failures, band.rate.drive_days)
        )
        for model, pair in enumerate(strata)
        for exposed, table in zip((False, True), pair, strict=True)
        for band in hazard(table).bands
    ]
    return _holds(poisson_hazard_ratio(split))


def by_cox(strata: list[States]) -> bool:
    """Whether the limits of Cox regression hold it."""
    return _holds(cox_hazard_ratio(strata))


def hazard_ratio(rng: Generator, fleets: int) -> Iterator[Study]:
    """Both ways, on the same fleets."""
    drawn = [[drives(rng, 90, 0.0006, 0.0003), drives(rng, 60, 0.0004, 0.0008)] for _ in range(fleets)]
    for name, holds in (("Poisson regression", by_rates), ("Cox regression", by_cox)):
        yield Study(
            method=f"Hazard ratio of a warning: {name}",
            setting="150 drives of two models, late entry; after a bad sector 3 times the hazard",
            nominal=0.95,
            covered=sum(holds([by_state(model) for model in fleet]) for fleet in drawn) / fleets,
            simulations=fleets,
            control="drives sorted by whether they were ever to have one",
            control_covered=sum(holds([immortal(model) for model in fleet]) for fleet in drawn) / fleets,
            tolerated=0.01,
        )


def _holds(found: HazardRatio | Refused) -> bool:
    return isinstance(found, HazardRatio) and found.interval.contains(FACTOR)


def _ends(failed: NDArray[np.bool_]) -> NDArray[np.str_]:
    return np.where(failed, "failed", "in service")
