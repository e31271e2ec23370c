"""Limits that rest on one count: of a rate, of vanished drives, of failures to come, of a rebuild's risk."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from scipy.stats import poisson

from reliability.arrays.array import Array
from reliability.arrays.rebuild import rebuild_risk
from reliability.comparer.vanished import vanished_bounds
from reliability.planning.prediction import prediction_interval
from reliability.poisson import garwood_interval
from reliability.rate import Rate
from validation.coverage.study import Study
from validation.coverage.sums import chance, chance_of_two, holds, wald

if TYPE_CHECKING:
    from collections.abc import Iterator

YEAR = 365
ONE_SIDED = 1.644854
ARRAY = Array(drives=10, parity=1, capacity_tb=30, mb_per_s=208, error_rate=0.0)


def one_rate() -> Iterator[Study]:
    """Exact limits of a rate, where few or many failures are expected."""
    yield from map(_one_rate, (0.1, 0.5, 1, 3, 5, 10, 20, 50))


def _one_rate(mean: float) -> Study:
    return Study(
        method="One rate: exact limits",
        setting=f"failures expected: {mean:g}",
        nominal=0.95,
        covered=chance(mean, lambda x: holds(garwood_interval(x), mean)),
        simulations=0,
        control="estimate and 1.96 standard errors",
        control_covered=chance(mean, lambda x: wald(x)[0] <= mean <= wald(x)[1]),
    )


def one_rate_anywhere() -> Iterator[Study]:
    """The least coverage between 0 and 50 expected failures, on a fine grid: exact limits dip between whole numbers."""
    means = np.arange(0.05, 50, 0.05)[:, None]
    counted = np.arange(140)
    limits = [garwood_interval(x) for x in counted.tolist()]
    low, high = (np.array([getattr(each, end) for each in limits]) for end in ("low", "high"))
    shortcut = np.array([wald(x) for x in counted.tolist()])
    chances = poisson.pmf(counted, means)
    yield Study(
        method="One rate: exact limits",
        setting="failures expected: the worst of 0.05 to 50",
        nominal=0.95,
        covered=float((chances * ((low <= means) & (means <= high))).sum(axis=1).min()),
        simulations=0,
        control="estimate and 1.96 standard errors",
        control_covered=float(
            (chances * ((shortcut[:, 0] <= means) & (means <= shortcut[:, 1]))).sum(axis=1).min()
        ),
    )


def at_most() -> Iterator[Study]:
    """The one-sided limit that is quoted when nothing failed."""
    yield from map(_at_most, (1, 3, 10))


def _at_most(mean: float) -> Study:
    return Study(
        method="One rate: one-sided upper limit",
        setting=f"failures expected: {mean:g}",
        nominal=0.95,
        covered=chance(mean, lambda x: mean <= Rate(x, YEAR).upper_one_sided() * (1 + 1e-12)),
        simulations=0,
        control="estimate and 1.64 standard errors",
        control_covered=chance(mean, lambda x: mean <= wald(x, ONE_SIDED)[1]),
    )


def vanished() -> Iterator[Study]:
    """1.5 % fail a year, 30 % of them never flagged; healthy drives vanish too, or none."""
    yield from (_vanished(1_000, 0.0), _vanished(1_000, 0.015), _vanished(5_000, 0.015))


def _vanished(years: int, healthy: float) -> Study:
    rate, unflagged = 0.015, 0.3
    seen, unseen = years * rate * (1 - unflagged), years * (rate * unflagged + healthy)
    days = YEAR * years
    return Study(
        method="Vanished drives: union of best and worst case",
        setting=f"{years:,} drive-years, 1.5 % fail a year, 30 % of them never flagged, "
        f"{100 * healthy:g} % vanish in health",
        nominal=0.95,
        covered=chance_of_two(
            seen, unseen, lambda x, gone: holds(vanished_bounds(Rate(x, days), gone, None).union, rate)
        ),
        simulations=0,
        control="exact limits, vanished drives taken as censored",
        control_covered=chance(seen, lambda x: holds(Rate(x, days).interval(), rate)),
    )


def to_come() -> Iterator[Study]:
    """Failures in as much exposure again, at a constant rate."""
    yield from map(_to_come, (1, 3, 10, 30))


def _to_come(mean: float) -> Study:
    def right(seen: int, coming: int) -> bool:
        limits = prediction_interval(seen, exposure=1, further=1)
        return limits.low <= coming <= limits.high

    def plugged(seen: int, coming: int) -> bool:
        low, high = (poisson.ppf(tail, seen) if seen else 0 for tail in (0.025, 0.975))
        return bool(low <= coming <= high)

    return Study(
        method="Failures to come at a constant rate: exact prediction limits",
        setting=f"failures expected so far: {mean:g}, and as many to come",
        nominal=0.95,
        covered=chance_of_two(mean, mean, right),
        simulations=0,
        control="Poisson limits at the estimated rate",
        control_covered=chance_of_two(mean, mean, plugged),
    )


def rebuild() -> Iterator[Study]:
    """The risk of a rebuild at both limits of a fleet's rate."""
    yield from map(_rebuild, (1, 3, 10))


def _rebuild(mean: float) -> Study:
    rate = 0.01
    years, truth = mean / rate, rebuild_risk(ARRAY, rate).loss

    def between(low: float, high: float) -> bool:
        at_low, at_high = (rebuild_risk(ARRAY, max(limit, 0.0)).loss for limit in (low, high))
        return at_low <= truth * (1 + 1e-9) and truth <= at_high * (1 + 1e-9)

    def right(failures: int) -> bool:
        limits = Rate(failures, YEAR * years).interval()
        return between(limits.low, limits.high)

    def shortcut(failures: int) -> bool:
        low, high = wald(failures)
        return between(low / years, high / years)

    return Study(
        method="Risk of a rebuild: at the limits of the rate",
        setting=f"9 drives left of 10; failures expected in the fleet: {mean:g}",
        nominal=0.95,
        covered=chance(mean, right),
        simulations=0,
        control="at the estimate and 1.96 standard errors",
        control_covered=chance(mean, shortcut),
    )


def mtbf() -> Iterator[Study]:
    """The limits of an MTBF are those of the rate, turned over."""
    mean = 3.0
    truth = 1_000_000.0
    hours = mean * truth

    def right(failures: int) -> bool:
        return holds(Rate(failures, hours / 24).mtbf_interval(), truth)

    def failure_terminated(failures: int) -> bool:
        if not failures:
            return False
        from_failure = garwood_interval(
            failures - 1
        ).high  # 2r degrees of freedom, as if a failure had ended it
        return hours / from_failure <= truth <= hours / garwood_interval(failures).low

    yield Study(
        method="MTBF: exact limits",
        setting="3 failures expected, watched for a fixed time",
        nominal=0.95,
        covered=chance(mean, right),
        simulations=0,
        control="limits of a test that a failure ends",
        control_covered=chance(mean, failure_terminated),
    )
