"""Rates by age band that the same failures could have given, for ages at which no Weibull life holds."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from reliability.survival.hazard import hazard

if TYPE_CHECKING:
    from numpy.random import Generator
    from numpy.typing import NDArray

    from reliability.risk_table import RiskTable
    from reliability.survival.hazard import BandRate

_PRIOR = 0.5  # failures of a band before its first
_LEAST_EXPECTED = 3.0  # failures at the rate of all ages; bands are joined until each expects so many


@dataclass(frozen=True, slots=True, eq=False)
class BandDraws:
    """One rate a band and draw, in failures a drive-day.

    begins    ages in days at which bands begin; the first is reckoned from 0, the last has no end
    failures  of the draw
    """

    begins: NDArray[np.float64]
    rates: NDArray[np.float64]
    failures: NDArray[np.float64]

    def due(self, ages: NDArray[np.float64], days: float) -> NDArray[np.float64]:
        """Hazard integrated from each age over the days that follow; a row a draw, a column an age."""
        begins, ends = np.array([0.0, *self.begins[1:]]), np.array([*self.begins[1:], np.inf])
        older = ages[:, np.newaxis] + days
        within = (np.minimum(older, ends) - np.maximum(ages[:, np.newaxis], begins)).clip(0)
        found: NDArray[np.float64] = self.rates @ within.T
        return found


def band_draws(table: RiskTable, rng: Generator, draws: int) -> BandDraws:
    """Draw rates by age band from Gamma(failures + 1/2, exposure), for a table with exposure.

    Bands are joined, from young to old, until in each 3 failures would be expected at one rate for all ages; what
    is left at the end joins the last. So no band rests on a few drive-days, and ages beyond all that was seen
    take the rate of the oldest band.
    """
    bands = _joined(hazard(table).bands, table.failures / table.drive_days)
    begins, failures, days = (np.array(column, dtype=np.float64) for column in zip(*bands, strict=True))
    drawn = rng.standard_gamma(failures + _PRIOR, size=(draws, failures.size))
    return BandDraws(begins, drawn / days, drawn.sum(axis=1))


def _joined(bands: tuple[BandRate, ...], per_day: float) -> list[tuple[float, int, float]]:
    """Where each band begins, its failures and its drive-days."""
    joined: list[tuple[float, int, float]] = []
    for band in bands:
        here = (band.from_days, band.rate.failures, band.rate.drive_days)
        if joined and joined[-1][2] * per_day < _LEAST_EXPECTED:
            joined.append(_together(joined.pop(), here))
        else:
            joined.append(here)
    if len(joined) > 1 and joined[-1][2] * per_day < _LEAST_EXPECTED:
        last = joined.pop()
        joined.append(_together(joined.pop(), last))
    return joined


def _together(band: tuple[float, int, float], older: tuple[float, int, float]) -> tuple[float, int, float]:
    return band[0], band[1] + older[1], band[2] + older[2]
