"""Weibull fits for the tests."""

from __future__ import annotations

from typing import TYPE_CHECKING

from reliability.survival.weibull import weibull
from reliability.survival.weibull_life import Estimate, Weibull

if TYPE_CHECKING:
    from reliability.risk_table import RiskTable

HALF = 0.5  # of a day


def fitted(table: RiskTable, level: float = 0.95, quantiles: tuple[float, ...] = (0.1,)) -> Weibull:
    fit = weibull(table, level, quantiles)
    assert isinstance(fit, Weibull), fit
    return fit


def each(fit: Weibull) -> list[Estimate]:
    return [fit.shape, fit.scale, *(quantile.age for quantile in fit.quantiles)]


def limits(estimate: Estimate) -> tuple[float | None, float | None]:
    return estimate.low, estimate.high
