"""Simulated fleets in which a warning multiplies the hazard: the limits hold it as often as they say.

A fleet has two models whose hazards by age differ. Drives come at any age, some find a bad sector some day, and
from the day after it they fail FACTOR times as often. Ages are whole days, as in snapshots.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import pytest

from reliability.rate import Rate
from reliability.risk_table import risk_table
from reliability.signals.cox import cox_hazard_ratio
from reliability.signals.hazard_ratio import HazardRatio
from reliability.signals.split_rates import SplitRate, poisson_hazard_ratio
from reliability.survival.hazard import hazard

if TYPE_CHECKING:
    from collections.abc import Callable

    from numpy.typing import NDArray

    from reliability.risk_table import RiskTable

    Days = NDArray[np.int64]

FACTOR = 3.0
FLEETS = 200
# Of 200 fleets 95 % limits hold the truth in 181 or more, but for one time in 100 or less (binomial).
AT_LEAST = 181


@dataclass(frozen=True)
class Drives:
    """Drives of one model: ages in whole days, and whether the last day was that of a failure."""

    entry: Days
    exit: Days
    turn: Days  # the age at whose end the first bad sector was read; beyond the exit if there was none
    failed: NDArray[np.bool_]


def drives(rng: np.random.Generator, number: int, first_year: float, later: float) -> Drives:
    """Draw drives with a hazard for the first year of age and another later, in failures a day."""
    entry = rng.integers(0, 500, number)
    end = entry + rng.integers(200, 700, number)
    turn = np.where(rng.random(number) < 0.6, entry + rng.integers(1, 500, number), 10_000)
    age = np.arange(1, 1300)[:, np.newaxis]  # at the end of a day
    per_day = np.where(age <= 365, first_year, later) * np.where(age > turn, FACTOR, 1.0)
    fails = (rng.random(per_day.shape) < per_day) & (age > entry) & (age <= end)
    failed = np.asarray(fails.any(axis=0))
    return Drives(entry, np.where(failed, fails.argmax(axis=0) + 1, end), turn, failed)


def by_state(of: Drives) -> tuple[RiskTable, RiskTable]:
    """Each drive unexposed up to the end of the day of its first bad sector, exposed from the day after."""
    turn = np.clip(of.turn, of.entry, of.exit)
    sound, warned = turn > of.entry, turn < of.exit
    unexposed = risk_table(of.entry[sound], turn[sound], ends((of.failed & ~warned)[sound]), exact=False)
    return unexposed, risk_table(turn[warned], of.exit[warned], ends(of.failed[warned]), exact=False)


def immortal(of: Drives) -> tuple[RiskTable, RiskTable]:
    """The wrong way: each drive in one state all its life, by whether it was ever to find a bad sector."""
    ever = of.turn < of.exit
    sound, warned = (
        risk_table(of.entry[some], of.exit[some], ends(of.failed[some]), exact=False)
        for some in (~ever, ever)
    )
    return sound, warned


def ends(failed: NDArray[np.bool_]) -> NDArray[np.str_]:
    return np.where(failed, "failed", "in service")


def by_rates(strata: list[tuple[RiskTable, RiskTable]]) -> HazardRatio:
    split = [
        SplitRate(
            f"model {model}", int(band.from_days), exposed, Rate(band.rate.failures, band.rate.drive_days)
        )
        for model, pair in enumerate(strata)
        for exposed, table in zip((False, True), pair, strict=True)
        for band in hazard(table).bands
    ]
    found = poisson_hazard_ratio(split)
    assert isinstance(found, HazardRatio)
    return found


def by_cox(strata: list[tuple[RiskTable, RiskTable]]) -> HazardRatio:
    found = cox_hazard_ratio(strata)
    assert isinstance(found, HazardRatio)
    return found


def held(
    way: Callable[[list[tuple[RiskTable, RiskTable]]], HazardRatio], split: Callable[[Drives], object]
) -> int:
    """In how many fleets the limits hold the factor."""
    rng = np.random.default_rng(77)
    count = 0
    for _ in range(FLEETS):
        fleet = [drives(rng, 90, 0.0006, 0.0003), drives(rng, 60, 0.0004, 0.0008)]
        count += way([split(model) for model in fleet]).interval.contains(FACTOR)  # type: ignore[misc]  # pairs
    return count


@pytest.mark.parametrize("way", [by_rates, by_cox])
def test_limits_hold_the_factor(way: Callable[[list[tuple[RiskTable, RiskTable]]], HazardRatio]) -> None:
    assert held(way, by_state) >= AT_LEAST


@pytest.mark.parametrize("way", [by_rates, by_cox])
def test_a_state_by_what_was_to_come_makes_the_limits_miss(
    way: Callable[[list[tuple[RiskTable, RiskTable]]], HazardRatio],
) -> None:
    assert held(way, immortal) < FLEETS / 2
