"""Profile limits of a Weibull life at few failures."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

from reliability.risk_table import risk_table
from reliability.survival.weibull import weibull
from reliability.survival.weibull_life import Estimate, Weibull
from validation.coverage.study import Study
from validation.coverage.sums import Z

if TYPE_CHECKING:
    from collections.abc import Iterator

    from numpy.random import Generator
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

DRIVES = 200
DAYS = 700.0


def lives(rng: Generator, entry: Floats, shape: float, scale: float) -> tuple[Floats, NDArray[np.bool_]]:
    """Exit ages of drives alive at their entry age, watched for so many days, and whether they failed."""
    life = scale * ((entry / scale) ** shape + rng.exponential(size=entry.size)) ** (1 / shape)
    return np.minimum(life, entry + DAYS), life <= entry + DAYS


def scale_for(entry: Floats, shape: float, failures: float) -> float:
    """Scale at which so many failures are expected."""
    low, high = 1e1, 1e9
    while high / low > 1 + 1e-9:
        scale = math.sqrt(low * high)
        due = -np.expm1((entry / scale) ** shape - ((entry + DAYS) / scale) ** shape).sum()
        low, high = (scale, high) if due > failures else (low, scale)
    return low


def weibull_life(rng: Generator, fleets: int) -> Iterator[Study]:
    """Shape, scale and the age by which a tenth fail; all drives new, or half of them up to 1,400 days old."""
    for shape, late in ((0.7, False), (1.0, True), (1.5, True)):
        entry = np.linspace(0, 1400, DRIVES) * (np.arange(DRIVES) % 2) * late
        scale = scale_for(entry, shape, 5)
        truth = (shape, scale, scale * (-math.log(0.9)) ** (1 / shape))
        tried = [_tried(rng, entry, truth) for _ in range(fleets)]
        held, plain = (np.mean(part, axis=0).tolist() for part in zip(*filter(None, tried), strict=True))
        for what, covered, control in zip(("shape", "scale", "B10"), held, plain, strict=True):
            yield Study(
                method=f"Weibull {what}: profile limits",
                setting=f"5 failures expected of {DRIVES} drives, {'half second-hand' if late else 'all new'}, "
                f"shape {shape:g}",
                nominal=0.95,
                covered=covered,
                simulations=fleets - tried.count(None),
                control="logarithm and 1.96 standard errors"
                + ", late entry ignored" * (late and what == "shape"),
                control_covered=control,
                tolerated=0.015,
            )


def _tried(
    rng: Generator, entry: Floats, truth: tuple[float, float, float]
) -> tuple[list[bool], list[bool]] | None:
    """Whether limits held shape, scale and B10, and whether wrong ones did; None if a fit is refused."""
    exit_, failed = lives(rng, entry, *truth[:2])
    outcome = np.where(failed, "failed", "in service")
    fit, naive = (weibull(risk_table(begin, exit_, outcome)) for begin in (entry, 0 * entry))
    if not isinstance(fit, Weibull) or not isinstance(naive, Weibull):
        return None  # fewer than 2 failures, or none before the oldest age
    held = [_holds(one, true) for one, true in zip(_each(fit), truth, strict=True)]
    plain = [_by_error(one, true) for one, true in zip(_each(fit), truth, strict=True)]
    return held, [_by_error(naive.shape, truth[0]), *plain[1:]]  # if all are new, the naive fit is the fit


def _each(fit: Weibull) -> tuple[Estimate, Estimate, Estimate]:
    return fit.shape, fit.scale, fit.quantiles[0].age


def _holds(estimate: Estimate, truth: float) -> bool:
    return (estimate.low or 0) <= truth and (estimate.high is None or truth <= estimate.high)


def _by_error(estimate: Estimate, truth: float) -> bool:
    return abs(math.log(estimate.value / truth)) <= Z * estimate.standard_error / estimate.value
