"""Survival by age, estimated without a model from lives that entered late and left early."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.ma import MaskedArray

from reliability.curve import Curve
from reliability.errors import QuestionError
from reliability.interval import check_level
from reliability.normal_deviate import normal_deviate
from reliability.poisson import garwood_interval, upper_limit
from reliability.survival.start import start_of
from reliability.survival.unfailed import hazard_at_most

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from reliability.risk_table import RiskTable


@dataclass(frozen=True, slots=True)
class SurvivalAt:
    """Survival to an age in days; survival and limits are None where nobody is at risk or nothing is known."""

    age_days: float
    at_risk: int
    survival: float | None
    low: float | None
    high: float | None


def kaplan_meier(table: RiskTable, level: float = 0.95, from_age: float | None = None) -> Curve:
    """Estimate survival by age (Kaplan-Meier).

    level     of the limits, strictly between 0 and 1
    from_age  age in days at which the curve starts; by default the first at which it can be trusted, as by
              `start_of`
    returns   a `Curve` with a step at every failure age after its start, also where few are at risk
    raises    `QuestionError` for a level that is none, and if nobody is at risk after `from_age`

    At an age t those at risk are the lives with entry < t <= exit: failures come before other ends of the same
    age, and a life that enters at t is not at risk at it. The standard error is Greenwood's, the limits are
    those of log(-log survival), which stay between 0 and 1. Where all at risk fail, survival is 0 from there
    on and has no limits. No life, or no failure: a curve without a step, whose `notes` say what is known.

    Source: Kaplan & Meier (1958), Greenwood (1926); with late entry as in Andersen, Borgan, Gill & Keiding
    (1993); citations from memory.

    >>> from reliability.risk_table import risk_table
    >>> curve = kaplan_meier(risk_table([0, 0, 0, 4], [3, 5, 5, 9], ["failed", "failed", "retired", "failed"]))
    >>> curve.ages.tolist(), curve.at_risk.tolist(), curve.survival.round(3).tolist()
    ([3, 5, 9], [3, 3, 1], [0.667, 0.444, 0.0])
    >>> curve.low.round(3).tolist()
    [0.054, 0.038, None]
    """
    check_level(level)
    start = start_of(table, from_age)
    steps = start.after(table) & (table.failed > 0)
    at_risk, failed = table.at_risk[steps], table.failed[steps]
    survival = np.cumprod(1 - failed / at_risk, dtype=np.float64)
    error, low, high = _limits(at_risk, failed, level)
    return Curve(
        ages=table.age[steps],
        at_risk=at_risk,
        failures=failed,
        survival=survival,
        standard_error=_masked(error * survival[: error.size], survival.size),
        low=_masked(low, survival.size),
        high=_masked(high, survival.size),
        from_age=start.age,
        until_age=start.until,
        least_at_risk=start.least,
        level=level,
        unfailed_high=_unfailed_high(table, start.age, start.until, level) if not failed.size else None,
    )


def survival_at(
    table: RiskTable, ages: float | Iterable[float], level: float = 0.95, from_age: float | None = None
) -> tuple[SurvivalAt, ...]:
    """Survival to each of some ages in days, or to one, in the order given; arguments as of `kaplan_meier`.

    Between two failures it is that of the earlier. Up to the first failure it is 1, and its lower limit is the
    exact one of no failure in the exposure so far, if the rate is the same at these ages. Before the start of
    the curve, and where nobody is at risk, nothing is known.

    >>> from reliability.risk_table import risk_table
    >>> table = risk_table([0] * 20, [400] * 20, ["failed"] + ["in service"] * 19)
    >>> one_year, later, beyond = survival_at(table, [365, 400, 730])
    >>> one_year.at_risk, one_year.survival, round(one_year.low, 3)
    (20, 1.0, 0.832)
    >>> later.at_risk, later.survival, round(later.low, 3), round(later.high, 3)
    (20, 0.95, 0.695, 0.993)
    >>> beyond
    SurvivalAt(age_days=730, at_risk=0, survival=None, low=None, high=None)
    """
    curve = kaplan_meier(table, level, from_age)
    return tuple(_survival_at(curve, table, age) for age in (ages if isinstance(ages, Iterable) else (ages,)))


def _survival_at(curve: Curve, table: RiskTable, age: float) -> SurvivalAt:
    if not 0 <= age < np.inf:
        raise QuestionError(f"There is no survival to an age of {age} days; give a number, 0 or more.")
    place = int(np.searchsorted(table.age, age))
    at_risk = int(table.at_risk[place]) if place < table.age.size else 0
    if curve.from_age is None or age < curve.from_age or not at_risk:
        return SurvivalAt(age, at_risk, None, None, None)
    step = int(np.searchsorted(curve.ages, age, side="right")) - 1
    if step >= 0:
        low, high = curve.low.tolist()[step], curve.high.tolist()[step]
        return SurvivalAt(age, at_risk, float(curve.survival[step]), low, high)
    until = curve.ages[0] if curve.ages.size else table.age[-1]
    most = garwood_interval(0, curve.level).high
    low = np.exp(-hazard_at_most(table, most, curve.from_age, age, float(until)))
    return SurvivalAt(age, at_risk, 1.0, float(low), 1.0)


def _limits(
    at_risk: NDArray[np.int64], failed: NDArray[np.int64], level: float
) -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.float64]]:
    """Standard error relative to the survival, lower and upper limits, as long as the survival is above 0."""
    above_0 = np.logical_and.accumulate(failed < at_risk)
    n, d = at_risk[above_0], failed[above_0]
    log_survival = np.cumsum(np.log1p(-d / n))
    error: NDArray[np.float64] = np.sqrt(np.cumsum(d / (n * (n - d))))
    spread = np.exp(normal_deviate(level) * error / -log_survival)
    return error, np.exp(log_survival * spread), np.exp(log_survival / spread)


def _masked(values: NDArray[np.float64], size: int) -> MaskedArray[tuple[int], np.dtype[np.float64]]:
    """Values for the first places; the rest is masked, with 0 beneath."""
    padded = np.zeros(size)
    padded[: values.size] = values
    return MaskedArray(padded, mask=np.arange(size) >= values.size)


def _unfailed_high(table: RiskTable, start: float | None, until: float | None, level: float) -> float | None:
    if start is None or until is None:
        return None
    return float(-np.expm1(-hazard_at_most(table, upper_limit(0, level), start, until, until)))
