"""What every estimator that rests on lives says of a fleet, number by number."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

from reliability.comparer.homogeneity import homogeneity
from reliability.comparer.ratios import exact_ratio, ratio_by_age
from reliability.comparer.running import Mixture
from reliability.comparer.shrinkage import shrink
from reliability.comparer.standardised import directly_standardised
from reliability.comparer.vanished import vanished_bounds
from reliability.rate import Rate
from reliability.regression import poisson_regression
from reliability.risk_table import RiskTable, risk_table
from reliability.signals.cox import cox_hazard_ratio
from reliability.signals.hazard_ratio import HazardRatio
from reliability.survival.cumulative_incidence import cumulative_incidence
from reliability.survival.hazard import hazard
from reliability.survival.kaplan_meier import kaplan_meier
from reliability.survival.logrank import logrank
from reliability.survival.nelson_aalen import nelson_aalen
from reliability.survival.weibull import weibull
from reliability.survival.weibull_life import Weibull
from validation.laws.said import Groups, Number

if TYPE_CHECKING:
    from reliability.interval import Interval
    from validation.laws.said import Life

ROOT = math.sqrt(0.5)
BANDS = (0.0, 20.0, 40.0)
STANDARD = (1.0, 2.0, 3.0)


def table_of(lives: list[Life]) -> RiskTable:
    entry, exit_, outcome = zip(*lives, strict=True)
    return risk_table(entry, exit_, outcome)


def together(groups: Groups) -> RiskTable:
    return table_of([life for group in groups for life in group])


def rate_of(lives: list[Life]) -> Rate:
    table = table_of(lives)
    return Rate(table.failures, table.drive_days)


def by_band(lives: list[Life], unit: float) -> list[Rate]:
    return [band.rate for band in hazard(table_of(lives), [unit * begin for begin in BANDS]).bands]


def limits(interval: Interval, time: int = 0) -> list[Number]:
    return [Number(limit, time, None) for limit in (interval.low, interval.high)]


def rate(groups: Groups, _: float) -> list[Number]:
    found = sum(map(rate_of, groups), Rate(0, 0))
    return [Number(found.per_year, -1), *limits(found.interval(), -1), Number(found.failures, 0, 2.0)]


def running(groups: Groups, unit: float) -> list[Number]:
    """The prior weighs as much exposure, in whatever unit."""
    found = Mixture(drive_years=unit).interval(sum(map(rate_of, groups), Rate(0, 0)))
    return limits(found, -1)


def hazard_ratio(groups: Groups, _: float) -> list[Number]:
    """Two models, each with drives in two states."""
    found = cox_hazard_ratio(
        [(table_of(sound), table_of(warned)) for sound, warned in (groups[:2], groups[2:4])]
    )
    return [Number(found.value, 0, None)] if isinstance(found, HazardRatio) else []


def hazard_by_age(groups: Groups, unit: float) -> list[Number]:
    found = hazard(together(groups), [unit * begin for begin in BANDS])
    test = [] if found.one_rate is None else [Number(found.one_rate.statistic, 0, 2.0)]
    return [Number(band.rate.per_year, -1) for band in found.bands] + test


def survival(groups: Groups, _: float) -> list[Number]:
    curve = kaplan_meier(together(groups), from_age=0)
    errors = [Number(error, 0, ROOT) for error in curve.standard_error.tolist()]
    return [*map(Number, curve.survival.tolist()), *errors]


def survival_from_its_start(groups: Groups, _: float) -> list[Number]:
    """By default the curve starts where enough drives are at risk, wherever that is."""
    curve = kaplan_meier(together(groups))
    return [Number(value, 0, None) for value in [*curve.survival.tolist(), *curve.low.tolist()]]


def integrated(groups: Groups, _: float) -> list[Number]:
    found = nelson_aalen(together(groups), from_age=0)
    return [
        *map(Number, found.hazard.tolist()),
        *(Number(error, 0, ROOT) for error in found.standard_error.tolist()),
    ]


def incidence(groups: Groups, _: float) -> list[Number]:
    found = cumulative_incidence(together(groups), from_age=0)
    shares = [*found.failed.tolist(), *found.retired.tolist(), *found.vanished.tolist()]
    return [*map(Number, shares), *map(Number, found.remaining.tolist())]


def weibull_fit(groups: Groups, _: float) -> list[Number]:
    fit = weibull(together(groups))
    if not isinstance(fit, Weibull):
        return []
    found = [Number(fit.shape.value), Number(fit.scale.value, 1), Number(fit.quantiles[0].age.value, 1)]
    return [*found, Number(fit.shape.standard_error, 0, ROOT), Number(fit.constant_rate.statistic, 0, 2.0)]


def log_rank(groups: Groups, _: float) -> list[Number]:
    found = logrank([table_of(group) for group in groups])
    statistic = None if found.test is None else found.test.statistic
    return [Number(statistic, 0, None), Number(sum(found.expected), 0, 2.0)]


def spread(groups: Groups, _: float) -> list[Number]:
    found = homogeneity([rate_of(group) for group in groups], rng=np.random.default_rng(1), draws=1)
    return [Number(found.statistic, 0, 2.0)]


def ratio(groups: Groups, _: float) -> list[Number]:
    found = exact_ratio(rate_of(groups[0]), rate_of(groups[1]))
    return [Number(found.value), *limits(found.interval), Number(found.p_value, 0, None)]


def ratio_at_like_ages(groups: Groups, unit: float) -> list[Number]:
    found = ratio_by_age(by_band(groups[0], unit), by_band(groups[1], unit), least=1)
    if found is None or found.value is None:
        return []
    reach = math.log(found.interval.high / found.interval.low)
    return [Number(found.value), Number(reach, 0, ROOT)]


def standardised(groups: Groups, unit: float) -> list[Number]:
    bands = by_band([life for group in groups for life in group], unit)
    standard = [share if band.drive_days else 0.0 for share, band in zip(STANDARD, bands, strict=True)]
    found = directly_standardised(bands, standard)
    return [Number(found.per_year, -1), *limits(found.interval, -1)]


def shrunk(groups: Groups, _: float) -> list[Number]:
    rates = [rate_of(group) for group in groups]
    if not any(each.failures for each in rates):
        return []
    found = shrink(rates, rng=np.random.default_rng(1), draws=1)
    return sorted(Number(each.per_year, -1, None) for each in found)


def vanished(groups: Groups, _: float) -> list[Number]:
    lives = [life for group in groups for life in group]
    found = vanished_bounds(rate_of(lives), sum(outcome == "vanished" for _, _, outcome in lives), None)
    return [Number(found.best.per_year, -1), Number(found.worst.per_year, -1), *limits(found.union, -1)]


def regression(groups: Groups, unit: float) -> list[Number]:
    """Two groups over bands of age, where each band has a failure."""
    cells = [by_band(group, unit) for group in groups[:2]]
    seen = [band for band in range(len(BANDS)) if all(cell[band].failures for cell in cells)]
    if len(seen) < 2:
        return []
    rows = [cell[band] for cell in cells for band in seen]
    columns = {"second": [0.0] * len(seen) + [1.0] * len(seen)}
    columns |= {f"band{band}": [float(other == band) for _ in cells for other in seen] for band in seen[1:]}
    fit = poisson_regression([row.failures for row in rows], [row.drive_years for row in rows], columns)
    effects = [Number(math.exp(fit.effects[name])) for name in columns]
    errors = [Number(fit.standard_errors[name], 0, ROOT) for name in columns]
    return [Number(math.exp(fit.effects["rate"]), -1), *effects, *errors]
