"""Weibull lives that the same failures could have given: a random-weight bootstrap, all draws at once.

Every failure gets a weight from the exponential distribution with mean 1; failures at one age share a cell of the
risk table, whose weight is then Gamma(failures). The exposure stays as it was: what is uncertain of a rate is its
failures, and so a draw depends on the counts alone, however a life was cut into parts.

With x = age / oldest age, S(k) the sum of x^k over exits less that over entries, and weights w, the likelihood is
largest where

    S'(k) / S(k) - 1 / k = sum of w log x over failures / sum of w

The left side rises with k and is the same for all draws. So it is computed once, for shapes from the lowest to the
highest that a draw can have, and each draw's shape is read off that curve.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from reliability.survival.likelihood import failure_ages, likelihood

if TYPE_CHECKING:
    from numpy.random import Generator
    from numpy.typing import NDArray

    from reliability.risk_table import RiskTable
    from reliability.survival.likelihood import Likelihood

_NODES = 129  # of the curve; with its slopes that gives shapes to nine digits
_LOWEST, _HIGHEST = math.log(1e-4), math.log(1e4)  # shapes; a likelihood that rises beyond ends there
_NEAR = 1e-6  # of the logarithm of a shape, when the lowest and the highest are looked for, and
_MARGIN = 1e-3  # what is allowed for it
_LARGEST = 600.0  # logarithm of the largest integrated hazard that is told


@dataclass(frozen=True, slots=True, eq=False)
class WeibullDraws:
    """One Weibull life a draw: the integrated hazard to an age is factor x (age / oldest)^shape.

    failures  sum of the weights: the failures of the draw
    """

    shape: NDArray[np.float64]
    factor: NDArray[np.float64]
    oldest: float
    failures: NDArray[np.float64]

    def due(self, ages: NDArray[np.float64], days: float) -> NDArray[np.float64]:
        """Hazard integrated from each age over the days that follow; a row a draw, a column an age."""
        shape = self.shape[:, np.newaxis]
        reached = np.exp(np.minimum(shape * np.log((ages + days) / self.oldest), _LARGEST))
        logs = np.log(ages / (ages + days), where=ages > 0, out=np.full(ages.shape, -np.inf))
        found: NDArray[np.float64] = self.factor[:, np.newaxis] * reached * -np.expm1(shape * logs)
        return found


def weibull_draws(table: RiskTable, rng: Generator, draws: int) -> WeibullDraws:
    """Draw Weibull lives that fit a table in which drives failed at two ages or more.

    rng    where the weights come from
    draws  how many

    Source: Xu, Gotwalt, Hong, King & Meeker (2020), on random weights; that they fall on failures alone is ours.
    """
    counts = table.failed[table.failed > 0]
    weights = rng.standard_gamma(counts.astype(np.float64), size=(draws, counts.size))
    return weighted_fits(table, weights)


def weighted_fits(table: RiskTable, weights: NDArray[np.float64]) -> WeibullDraws:
    """Fit one Weibull life to each row of weights: those of the failures at each age at which drives failed."""
    lives = likelihood(table)
    failures = weights.sum(axis=1)
    mean_logs = weights @ np.log(failure_ages(table) / lives.oldest) / failures
    log_shape, log_sum = _read_off(lives, mean_logs)
    return WeibullDraws(np.exp(log_shape), failures * np.exp(-log_sum), lives.oldest, failures)


def _read_off(
    lives: Likelihood, mean_logs: NDArray[np.float64]
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Where the curve has each of these values: the logarithm of the shape, and of S there."""
    low, high = (_log_shape_at(lives, float(end)) for end in (mean_logs.min(), mean_logs.max()))
    log_shape = np.linspace(low - _MARGIN, high + _MARGIN, _NODES)
    shape = np.exp(log_shape)
    value, first, second = _sums(lives, shape)
    ratio = first / value
    slope = shape * (second / value - ratio**2) + 1 / shape  # of the curve, in the logarithm of the shape
    found = _cubic(ratio - 1 / shape, log_shape, 1 / slope, mean_logs)
    return found, _cubic(log_shape, np.log(value), shape * ratio, found)


def _cubic(
    known: NDArray[np.float64],
    value: NDArray[np.float64],
    slope: NDArray[np.float64],
    wanted: NDArray[np.float64],
) -> NDArray[np.float64]:
    """Values between known places, by the cubics through values and slopes there; the places rise."""
    at = np.clip(np.searchsorted(known, wanted) - 1, 0, known.size - 2)
    width = known[at + 1] - known[at]
    part = np.clip((wanted - known[at]) / width, 0.0, 1.0)
    rest = 1 - part
    ends = value[at] * rest**2 * (1 + 2 * part) + value[at + 1] * part**2 * (1 + 2 * rest)
    found: NDArray[np.float64] = ends + width * part * rest * (slope[at] * rest - slope[at + 1] * part)
    return found


def _log_shape_at(lives: Likelihood, mean_log: float) -> float:
    """The same for one value, by halving."""
    low, high = _LOWEST, _HIGHEST
    while high - low > _NEAR:
        middle = (low + high) / 2
        shape = math.exp(middle)
        value, first, _ = _sums(lives, np.array([shape]))[:, 0].tolist()
        low, high = (middle, high) if first / value - 1 / shape < mean_log else (low, middle)
    return (low + high) / 2


def _sums(lives: Likelihood, shape: NDArray[np.float64]) -> NDArray[np.float64]:
    """S and its first two derivatives, a row each, at some shapes; kept from what x^k has in common with 1."""
    differ = np.expm1(lives.log_age[:, np.newaxis] * shape)
    found: NDArray[np.float64] = lives.weights @ differ + lives.weights.sum(axis=1, keepdims=True)
    return found
