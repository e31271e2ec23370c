"""What is asked of the whole way: limits that hold the true rate, and few models that are wrongly called worse."""

from __future__ import annotations

import tempfile
from pathlib import Path
from typing import TYPE_CHECKING

from numpy.random import default_rng

from reliability.comparer.running import Mixture
from reliability.comparer.spending import PlannedLooks
from reliability.comparer.stated import Verdict, verdict_of
from reliability.rate import Rate
from validation.coverage.study import Study
from validation.pipeline.fates import RATE, SECRETIVE, UNTOLD, fleet_of
from validation.pipeline.judged import Judged, judged

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence

    from reliability.interval import Interval

SEED = 2026
RUNNING = Mixture.centred_on(RATE)
ALL_TOLD = "all failures flagged or logged"
SOME_UNTOLD = f"{100 * UNTOLD:g} % of failures told to nobody"


def histories(fleets: int) -> list[Judged]:
    """So many dirty fleets, each made, written to files, loaded and judged."""
    found = []
    for number in range(fleets):
        fleet, told = fleet_of(default_rng([SEED, number]))
        with tempfile.TemporaryDirectory() as folder:
            found += judged(fleet, told, Path(folder))
    return found


def studies(found: Sequence[Judged]) -> list[Study]:
    """Shares of the histories about which the package is right; a wrong method beside each."""
    told = [each for each in found if each.model != SECRETIVE]
    untold = [each for each in found if each.model == SECRETIVE]
    return [
        Study(
            method="Limits hold the true rate",
            setting=ALL_TOLD,
            nominal=0.95,
            covered=_share(told, lambda each: each.line.interval.contains(RATE)),
            simulations=len(told),
            control="every drive that is gone taken as failed",
            control_covered=_share(told, lambda each: _if_gone_failed(each).interval().contains(RATE)),
        ),
        Study(
            method="Not called worse than stated: single planned look",
            setting=ALL_TOLD,
            nominal=0.975,
            covered=_share(told, lambda each: each.line.single_verdict is not Verdict.WORSE),
            simulations=len(told),
            control="every drive that is gone taken as failed",
            control_covered=_share(told, lambda each: not _worse(_if_gone_failed(each).interval())),
        ),
        Study(
            method="Not called worse than stated: running comparison, at every look",
            setting=ALL_TOLD,
            nominal=0.975,
            covered=_share(told, lambda each: not any(_worse(RUNNING.interval(look)) for look in each.looks)),
            simulations=len(told),
            control="exact limits of a single look, at every look",
            control_covered=_share(
                told, lambda each: not any(_worse(look.interval()) for look in each.looks)
            ),
        ),
        Study(
            method="Not called worse than stated: planned looks, all of them",
            setting=ALL_TOLD,
            nominal=0.975,
            covered=_share(told, lambda each: not any(map(_worse, _planned(each.looks)))),
            simulations=len(told),
            control="exact limits of a single look, at every look",
            control_covered=_share(
                told, lambda each: not any(_worse(look.interval()) for look in each.looks)
            ),
        ),
        Study(
            method="Best to worst case for vanished drives holds the true rate",
            setting=SOME_UNTOLD,
            nominal=0.95,
            covered=_share(untold, _union_holds),
            simulations=len(untold),
            control="the worst case alone",
            control_covered=_share(untold, _worst_holds),
        ),
    ]


def _share(found: Sequence[Judged], right: Callable[[Judged], bool]) -> float:
    return sum(map(right, found)) / len(found)


def _planned(looks: Sequence[Rate]) -> Iterator[Interval]:
    """Limits at each look, if all of them were planned in advance."""
    steps = [look.drive_years for look in looks]
    for place, look in enumerate(looks, 1):
        yield PlannedLooks(tuple(steps[:place]), len(looks)).interval(look)


def _worse(limits: Interval) -> bool:
    return verdict_of(limits, RATE) is Verdict.WORSE


def _if_gone_failed(each: Judged) -> Rate:
    rate = each.line.seen.rate
    return Rate(rate.failures + each.gone, rate.drive_days)


def _union_holds(each: Judged) -> bool:
    bounds = each.line.vanished
    return (each.line.interval if bounds is None else bounds.union).contains(RATE)


def _worst_holds(each: Judged) -> bool:
    bounds = each.line.vanished
    return (each.line.interval if bounds is None else bounds.worst.interval).contains(RATE)
