"""Repeated looks: the chance that limits hold at every one of twenty quarterly looks, without simulation."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from scipy.stats import poisson

from reliability.comparer.running import Mixture
from reliability.comparer.spending import PlannedLooks
from reliability.rate import Rate
from validation.coverage.study import Study

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from reliability.interval import Interval

LOOKS = 20
PLANNED = 8
YEAR = 365
NEGLIGIBLE = 1e-12  # chance of a count that is not looked at
TRUTH = 1.0  # failures per drive-year: exposure is then counted in failures expected


def every_look() -> Iterator[Study]:
    """A model at its stated rate, with few or many failures a quarter."""
    for what, right, nominal in (
        ("limits hold the true rate", _holds, 0.95),
        ("not called worse than stated", _not_worse, 0.975),
    ):
        for each in (0.5, 1.0, 5.0, 10.0):
            yield Study(
                method=f"Running comparison, every look: {what}",
                setting=f"{LOOKS} quarters, failures expected in each: {each:g}",
                nominal=nominal,
                covered=chance_throughout(each, LOOKS, running, right),
                simulations=0,
                control="exact limits of a single look, at every look",
                control_covered=chance_throughout(each, LOOKS, single, right),
            )


def planned_looks() -> Iterator[Study]:
    """Looks that were planned in advance, each of which spends a part of alpha."""
    for each in (0.5, 2.0):
        yield Study(
            method="Planned looks, all of them: limits hold the true rate",
            setting=f"{PLANNED} quarters, failures expected in each: {each:g}",
            nominal=0.95,
            covered=chance_throughout(each, PLANNED, planned, _holds),
            simulations=0,
            control="exact limits of a single look, at every look",
            control_covered=chance_throughout(each, PLANNED, single, _holds),
        )


def running(rate: Rate, _: int) -> Interval:
    """Limits of the running comparison."""
    return Mixture.centred_on(TRUTH).interval(rate)


def planned(rate: Rate, look: int) -> Interval:
    """Limits at one of the planned looks, which come at equal steps of exposure."""
    steps = tuple(rate.drive_years * (number + 1) / look for number in range(look))
    return PlannedLooks(steps, PLANNED).interval(rate)


def single(rate: Rate, _: int) -> Interval:
    """Exact limits, as if this were the only look."""
    return rate.interval()


def _holds(limits: Interval) -> bool:
    return limits.contains(TRUTH)


def _not_worse(limits: Interval) -> bool:
    return limits.low <= TRUTH


def chance_throughout(
    each: float, looks: int, limits: Callable[[Rate, int], Interval], right: Callable[[Interval], bool]
) -> float:
    """Chance that limits are right at every look; so many failures are expected from one to the next.

    The chance of each count, all looks so far being right, is carried from look to look.
    """
    most = round(looks * each + 10 * (looks * each) ** 0.5 + 20)
    step = poisson.pmf(np.arange(most + 1), each)
    chances = np.zeros(most + 1)
    chances[0] = 1.0
    for look in range(1, looks + 1):
        chances = np.convolve(chances, step)[: most + 1]
        days = YEAR * each * look
        likely = np.flatnonzero(chances > NEGLIGIBLE)
        kept = [right(limits(Rate(count, days), look)) for count in likely.tolist()]
        chances[likely[~np.array(kept)]] = 0.0
    return float(chances.sum())
