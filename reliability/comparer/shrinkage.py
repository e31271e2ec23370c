"""Rates pulled towards each other by as much as chance may have pushed them apart.

The raw worst and the raw best of many models are mostly those with the least exposure. So each true rate is taken
as one of a family, gamma with a mean and a spread (cv, the standard deviation as part of the mean) that the counts
themselves tell about. What they do not tell is averaged over: mean and spread stand on a grid, and each node weighs
as much as it makes the counts likely (flat in the logarithm of the mean and in cv).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from scipy.special import gammainc, gammaincinv, gammaln

from reliability.digits import counted
from reliability.errors import QuestionError
from reliability.interval import Interval, check_level

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from reliability.rate import Rate

    Floats = NDArray[np.float64]

LEAST_MODELS = 5
DRAWS = 20_000

_WIDEST = 3.0  # cv of the grid: every second model would have less than a hundredth of the mean rate
_FURTHEST = np.log(1_000.0)  # of the mean from the pooled rate
_NODES = 32  # a side
_NEGLIGIBLE = 1e-6  # part of all weight; a strip or node with less is left out
_ZOOMS = 4
_MOST_STEPS = 60  # halving alone needs fewer
_PRECISION = 1e-12


@dataclass(frozen=True, slots=True)
class Shrunk:
    """One model's rate per drive-year, seen with the others.

    per_year            mean of what it may be
    interval            limits that hold it
    worst_probability   chance that no other model's true rate is higher
    """

    per_year: float
    interval: Interval
    worst_probability: float


def shrink(
    rates: Sequence[Rate], *, rng: np.random.Generator, level: float = 0.95, draws: int = DRAWS
) -> tuple[Shrunk, ...]:
    """Shrink the rates of models towards their common mean; in the same order.

    rates   five or more; one without exposure is taken to be like the others
    rng     where chance comes from, for the probability of being the worst
    draws   fleets drawn for it
    raises  `QuestionError` for fewer models, or if none of them failed: then nothing tells how far they spread

    Given mean m and cv c, a = 1 / c^2 and b = a / m, a rate is gamma with shape a + x and exposure b + T. Limits and
    mean are those of the mixture over the grid (after Laird & Louis 1987), not those of one best node, which are too
    narrow and with few models often have no width at all.

    >>> from reliability.rate import Rate
    >>> fleet = [Rate(1, 3_650), Rate(0, 3_650), Rate(9, 365_000), Rate(12, 365_000), Rate(10, 365_000)]
    >>> [round(each.per_year, 3) for each in shrink(fleet, rng=np.random.default_rng(1))]
    [0.016, 0.012, 0.01, 0.011, 0.01]
    """
    check_level(level)
    failures = np.array([rate.failures for rate in rates], dtype=float)
    exposure = np.array([rate.drive_years for rate in rates])
    if len(rates) < LEAST_MODELS:
        raise QuestionError(
            f"No shrunk rates: {counted(len(rates), 'model')}, and it takes {LEAST_MODELS} to see how far models "
            "spread; read each rate with its own limits."
        )
    if not failures.any():
        raise QuestionError(
            "No shrunk rates: none of the models had a failure, so nothing tells how far they spread; "
            "read each rate with its own limits."
        )
    weights, shape, scale = _family(failures, exposure)
    shapes, exposures = shape[:, None] + failures, scale[:, None] + exposure
    means = weights @ (shapes / exposures)
    limits = [_quantile(weights, shapes, exposures, chance) for chance in ((1 - level) / 2, (1 + level) / 2)]
    node = rng.choice(len(weights), size=draws, p=weights)
    drawn = rng.gamma(shapes[node], 1 / exposures[node])
    worst = np.bincount(drawn.argmax(axis=1), minlength=len(rates)) / draws
    return tuple(
        Shrunk(float(mean), Interval(float(low), float(high), level), float(chance))
        for mean, low, high, chance in zip(means, *limits, worst, strict=True)
    )


def log_likelihood(failures: Floats, exposure: Floats, mean: Floats, cv: Floats) -> Floats:
    """How likely counts are when true rates are gamma with this mean and spread, up to a constant.

    mean, cv  of one shape; the result has it too

    Each count is negative binomial, since its rate is averaged over the family.
    """
    a = (1 / cv**2)[..., None]
    odds = mean[..., None] * exposure / a  # expected failures, in units of a
    terms: Floats = (
        gammaln(a + failures)
        - gammaln(a)
        - a * np.log1p(odds)
        - failures * (np.log1p(odds) - np.log(mean[..., None]) + np.log(a))
    )
    total: Floats = terms.sum(axis=-1)
    return total


def _family(failures: Floats, exposure: Floats) -> tuple[Floats, Floats, Floats]:
    """Nodes that matter: their weights, and a and b of the family at each."""
    middle = np.log(failures.sum() / exposure.sum())
    box = np.array([[middle - _FURTHEST, middle + _FURTHEST], [0.0, _WIDEST]])
    for _ in range(_ZOOMS):
        log_mean, cv, weights = _grid(failures, exposure, box)
        for side, (axis, values) in enumerate(((1, log_mean), (0, cv))):
            (matters,) = np.nonzero(weights.sum(axis=axis) > _NEGLIGIBLE)
            half = (values[1] - values[0]) / 2
            box[side] = values[matters[0]] - half, values[matters[-1]] + half
    log_mean, cv, weights = _grid(failures, exposure, box)
    matters_at = weights > _NEGLIGIBLE / weights.size
    a = np.broadcast_to(1 / cv**2, weights.shape)[matters_at]
    mean = np.broadcast_to(np.exp(log_mean)[:, None], weights.shape)[matters_at]
    kept = weights[matters_at]
    return kept / kept.sum(), a, a / mean


def _grid(failures: Floats, exposure: Floats, box: Floats) -> tuple[Floats, Floats, Floats]:
    """Centres of the cells of a box, and the weight of each cell."""
    steps = (np.arange(_NODES) + 0.5) / _NODES
    log_mean, cv = (low + (high - low) * steps for low, high in box)
    means, cvs = np.meshgrid(np.exp(log_mean), cv, indexing="ij")
    found = log_likelihood(failures, exposure, means, cvs)
    weights = np.exp(found - found.max())
    return log_mean, cv, weights / weights.sum()


def _quantile(weights: Floats, shapes: Floats, exposures: Floats, chance: float) -> Floats:
    """Quantile of each model's mixture of gammas: Newton's method, kept between those of its extreme nodes."""
    single = np.maximum(gammaincinv(shapes, chance) / exposures, np.finfo(float).tiny)
    low, high = np.log(single.min(axis=0)), np.log(single.max(axis=0))
    place, total = (low + high) / 2, gammaln(shapes)
    for _ in range(_MOST_STEPS):
        scaled = np.exp(place) * exposures
        missing = chance - weights @ gammainc(shapes, scaled)
        low, high = np.where(missing > 0, place, low), np.where(missing > 0, high, place)
        slope = weights @ np.exp(shapes * np.log(scaled) - scaled - total)  # in the logarithm
        step = missing / np.maximum(slope, np.finfo(float).tiny)
        there = np.where((low <= place + step) & (place + step <= high), place + step, (low + high) / 2)
        moved, place = np.abs(there - place).max(), there
        if moved < _PRECISION:
            break
    quantile: Floats = np.exp(place)
    return quantile
