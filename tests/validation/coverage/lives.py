"""Limits by age: survival with late entry, what became of the drives, rates by band of age, and the log-rank test."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

from reliability.risk_table import RiskTable, risk_table
from reliability.survival.cumulative_incidence import cumulative_incidence
from reliability.survival.hazard import hazard
from reliability.survival.kaplan_meier import survival_at
from reliability.survival.logrank import logrank
from validation.coverage.study import Study
from validation.coverage.sums import Z, holds

if TYPE_CHECKING:
    from collections.abc import Iterator

    from numpy.random import Generator
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

YEAR = 365.0
DRIVES = 300
BEGINS = (0.0, 91.0, 365.0, 730.0)
RATES = np.array([0.20, 0.10, 0.05, 0.08])  # a year, from each of these ages on


def late_entry(rng: Generator) -> Floats:
    """Half of the drives are new when they come under watch, half are 0.5 to 4 years old."""
    return np.where(np.arange(DRIVES) % 2 == 0, 0.0, np.floor(rng.uniform(0.5 * YEAR, 4 * YEAR, DRIVES)))


def fleet(rng: Generator, shape: float, scale: float) -> tuple[Floats, Floats, NDArray[np.bool_]]:
    """Entry and exit ages in whole days, and who failed, in two years of watch."""
    entry = late_entry(rng)
    life = scale * ((entry / scale) ** shape + rng.exponential(size=DRIVES)) ** (1 / shape)
    last = entry + 2 * YEAR
    return entry, np.minimum(np.maximum(np.ceil(life), entry + 1), last), life <= last


def table_of(entry: Floats, exit_: Floats, failed: NDArray[np.bool_]) -> RiskTable:
    return risk_table(entry, exit_, np.where(failed, "failed", "in service"), exact=False)


def survival(rng: Generator, fleets: int) -> Iterator[Study]:
    """Survival to 3 years; hardly a drive is seen all the way."""
    for shape, scale in ((0.6, 60.0), (1.0, 20.0), (3.0, 6.5)):
        truth = math.exp(-((3 / scale) ** shape))
        held = naive = 0
        for _ in range(fleets):
            entry, exit_, failed = fleet(rng, shape, scale * YEAR)
            held += _survives(table_of(entry, exit_, failed), truth)
            naive += _survives(table_of(0 * entry, exit_, failed), truth)
        yield Study(
            method="Survival with late entry: log-log limits",
            setting=f"{DRIVES} drives, half of them 0.5 to 4 years old at first sight, shape {shape:g}; age 3 years",
            nominal=0.95,
            covered=held / fleets,
            simulations=fleets,
            control="the same limits, late entry ignored",
            control_covered=naive / fleets,
            tolerated=0.01,
        )


def few_failures(rng: Generator, fleets: int) -> Iterator[Study]:
    """Survival to a year, from about 4 failures among 40 new drives."""
    truth, held, plain = 0.9, 0, 0
    for _ in range(fleets):
        life = np.ceil(rng.exponential(YEAR / -math.log(truth), 40))
        table = table_of(np.zeros(40), np.minimum(life, YEAR), life <= YEAR)
        (point,) = survival_at(table, [YEAR], from_age=0)
        held += (point.low or 0.0) <= truth <= (1.0 if point.high is None else point.high)
        share = table.failures / 40
        plain += abs(1 - share - truth) <= Z * math.sqrt(share * (1 - share) / 40)
    yield Study(
        method="Survival from few failures: log-log limits",
        setting="40 new drives for a year, 4 failures expected",
        nominal=0.95,
        covered=held / fleets,
        simulations=fleets,
        control="survival and 1.96 of Greenwood's errors",
        control_covered=plain / fleets,
        tolerated=0.01,
    )


def incidence(rng: Generator, fleets: int) -> Iterator[Study]:
    """The share that failed by 3 years, when as many are retired; constant hazards, late entry."""
    failing, retiring = 0.05, 0.25  # a year
    both = failing + retiring
    truth = failing / both * (1 - math.exp(-both * 3))
    held = alone = 0
    for _ in range(fleets):
        entry = late_entry(rng)
        fail, retire = (entry + rng.exponential(YEAR / rate, DRIVES) for rate in (failing, retiring))
        last = entry + 2 * YEAR
        end = np.minimum(np.minimum(np.ceil(fail), np.ceil(retire)), last)
        how = np.where(
            (fail <= retire) & (fail <= last), "failed", np.where(retire <= last, "retired", "in service")
        )
        table = risk_table(entry, np.maximum(end, entry + 1), how, exact=False)
        shares = cumulative_incidence(table, from_age=0)
        at = int(np.searchsorted(shares.ages, 3 * YEAR, side="right")) - 1
        held += abs(shares.failed[at] - truth) <= Z * shares.failed_error[at]
        alone += _survives(table, 1 - truth)
    yield Study(
        method="Share that failed, in competition: 1.96 standard errors",
        setting="300 drives with late entry, 5 % fail and 25 % are retired a year; age 3 years",
        nominal=0.95,
        covered=held / fleets,
        simulations=fleets,
        control="one less survival, as if nothing were retired",
        control_covered=alone / fleets,
        tolerated=0.02,
    )


def bands(rng: Generator, fleets: int) -> Iterator[Study]:
    """Rates by band of age, for a hazard that falls and rises again in steps."""
    upto = np.concatenate(([0.0], np.cumsum(RATES[:-1] / YEAR * np.diff(BEGINS))))
    corners, heights = (
        np.array([*BEGINS, 1e5]),
        np.append(upto, upto[-1] + RATES[-1] / YEAR * (1e5 - BEGINS[-1])),
    )
    held = young = 0
    for _ in range(fleets):
        entry = late_entry(rng)
        life = np.interp(np.interp(entry, corners, heights) + rng.exponential(size=DRIVES), heights, corners)
        last = entry + 2 * YEAR
        exit_, failed = np.minimum(np.maximum(np.ceil(life), entry + 1), last), life <= last
        held += _bands_held(table_of(entry, exit_, failed))
        young += _bands_held(table_of(0 * entry, exit_ - entry, failed))
    cases = fleets * len(BEGINS)
    yield Study(
        method="Rate by band of age: exact limits",
        setting="300 drives with late entry, rates 20, 10, 5 and 8 % in four bands",
        nominal=0.95,
        covered=held / cases,
        simulations=cases,
        control="the same limits by time since first sight",
        control_covered=young / cases,
    )


def alike(rng: Generator, fleets: int) -> Iterator[Study]:
    """Two models that fail alike, one of which came under watch old: how often they are not told apart."""
    same = naive = 0
    for _ in range(fleets):
        entry, exit_, failed = fleet(rng, 1.5, 10 * YEAR)
        new = entry == 0
        tables = [table_of(entry[part], exit_[part], failed[part]) for part in (new, ~new)]
        first_seen = [table_of(0 * entry[part], (exit_ - entry)[part], failed[part]) for part in (new, ~new)]
        same += _not_apart(tables)
        naive += _not_apart(first_seen)
    yield Study(
        method="Log-rank test with late entry: like models not told apart",
        setting="150 new and 150 old drives of one life, shape 1.5",
        nominal=0.95,
        covered=same / fleets,
        simulations=fleets,
        control="the same test by time since first sight",
        control_covered=naive / fleets,
        tolerated=0.005,
    )


def _not_apart(tables: list[RiskTable]) -> bool:
    found = logrank(tables).test
    return found is None or found.p_value >= 0.05


def _survives(table: RiskTable, truth: float) -> bool:
    (point,) = survival_at(table, [3 * YEAR], from_age=0)
    return (point.low or 0.0) <= truth <= (1.0 if point.high is None else point.high)


def _bands_held(table: RiskTable) -> int:
    found = hazard(table, BEGINS).bands
    return sum(holds(band.rate.interval(), truth) for band, truth in zip(found, RATES.tolist(), strict=True))
