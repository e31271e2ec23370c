"""The tables behind the section on survival: every step, every fit, every share, ages in days."""

from __future__ import annotations

from operator import itemgetter
from typing import TYPE_CHECKING

from reliability.report.csv_text import csv_text

if TYPE_CHECKING:
    from collections.abc import Iterator

    from reliability.report.csv_text import Value
    from reliability.report.survival import ModelAgeing, SurvivalByModel
    from reliability.survival.weibull_life import Estimate

_ENDS = ("model", "from_age_days", "until_age_days")
_SHARES = ("failed", "retired", "vanished", "remaining", "failed_error", "retired_error", "vanished_error")

_LIFE = (
    *("model", "failures", "shape", "shape_low", "shape_high", "scale_days", "scale_low", "scale_high"),
    *("b10_days", "b10_low", "b10_high", "b10_extrapolated", "direction", "very_uncertain"),
    *("log_likelihood", "fit_p_value", "refused"),
)


def survival_tables(survival: SurvivalByModel) -> dict[str, str]:
    """File name to the text of each table.

    Steps go on where figures stop: `until_age_days` is where. `survival.csv` has a row for each age at which
    drives failed, and for each whole year of the page's table.
    """
    return {
        "survival.csv": csv_text(
            (*_ENDS, "age_days", "at_risk", "failures", "survival", "low", "high"),
            (row for each in survival.models for row in _steps(each)),
        ),
        "weibull.csv": csv_text(
            _LIFE,
            (_weibull(each) for each in survival.models),
        ),
        "incidence.csv": csv_text(
            (*_ENDS, "age_days", "at_risk", *_SHARES),
            (row for each in survival.models for row in _incidence(each)),
        ),
    }


def _steps(row: ModelAgeing) -> list[tuple[Value, ...]]:
    curve = row.found.curve
    columns = (curve.ages, curve.at_risk, curve.failures, curve.survival, curve.low, curve.high)
    steps = list(zip(*(column.tolist() for column in columns), strict=True))
    seen = {step[0] for step in steps}
    steps += [
        (each.age_days, each.at_risk, 0, each.survival, each.low, each.high)
        for each in row.found.at
        if each.survival is not None and each.age_days not in seen
    ]
    return [(row.model, curve.from_age, curve.until_age, *step) for step in sorted(steps, key=itemgetter(0))]


def _weibull(row: ModelAgeing) -> list[Value]:
    life, refused, fit = row.found.weibull, row.found.refused, row.found.fit
    told: list[Value] = [row.model, row.found.table.failures]
    if life is None:
        return [*told, *[None] * 14, None if refused is None else refused.sentence]
    b10 = life.quantiles[0]
    for estimate in (life.shape, life.scale, b10.age):
        told += _with_limits(estimate)
    told += ["yes" if b10.extrapolated else "no", life.direction, "yes" if life.very_uncertain else "no"]
    judged = None if fit is None or fit.test is None else fit.test.p_value
    return [*told, life.log_likelihood, judged, None]


def _with_limits(estimate: Estimate) -> tuple[Value, ...]:
    return estimate.value, estimate.low, estimate.high


def _incidence(row: ModelAgeing) -> Iterator[tuple[Value, ...]]:
    shares = row.found.incidence
    columns = (shares.ages, shares.at_risk, *(getattr(shares, name) for name in _SHARES))
    for values in zip(*(column.tolist() for column in columns), strict=True):
        yield (row.model, shares.from_age, shares.until_age, *values)
