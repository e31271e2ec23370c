"""Figure: survival by age as it was seen, and the fitted line over it."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from reliability.curve import ENOUGH_AT_RISK
from reliability.figures.age_axis import age_axis
from reliability.figures.inks import FAINT
from reliability.figures.panel import HIGHER, Area, Line, Panel, Scale
from reliability.scales import round_steps, steps_to_draw, survival_floor
from reliability.units import DAYS_PER_YEAR

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from reliability.curve import Curve
    from reliability.survival.weibull_life import Weibull

_POINTS = 80  # of the fitted line, which is smooth
_TICKS = 5


def survival_by_age(
    curve: Curve, fit: Weibull | None = None, at_risk: Sequence[tuple[int, int]] = ()
) -> Panel:
    """One model's survival with its limits, a step a failure, and the fitted life as a broken line.

    fit      drawn only at ages at which the curve is shown and 10 or more are at risk
    at_risk  age in days and drives at risk at it, to be written under the axis

    The curve ends at the last age at which enough are at risk, and starts where it is given alive.
    """
    across, label = age_axis(curve.until_age, at_risk)
    marks: tuple[Area | Line, ...] = ()
    if curve.from_age is not None and curve.until_age is not None:
        marks = (*_curve(curve, curve.from_age, curve.until_age), *_fit(curve, fit))
    lowest = min((float(min(mark.low if isinstance(mark, Area) else mark.y)) for mark in marks), default=0.0)
    return Panel(across, share_scale(lowest), marks, label, HIGHER)


def share_scale(lowest: float) -> Scale:
    """Choose the scale of survival, from a round share below the lowest shown up to 100 %."""
    floor = survival_floor(lowest)
    ticks = round_steps(floor, 1.0, most=_TICKS, sizes=(1, 2, 2.5, 5))
    return Scale(floor, 1.0, [(share, f"{100 * share:.6g} %") for share in ticks])


def _curve(curve: Curve, start: float, until: float) -> tuple[Area | Line, ...]:
    """The curve and its limits."""
    drawn = steps_to_draw(curve.ages[: curve.shown].tolist())
    ages, survival = curve.ages[drawn], np.concatenate(([1.0], curve.survival[drawn]))
    line = Line("survival", *_stairs(ages, survival, start, until), 1.8)
    low, high = curve.low[drawn].compressed(), curve.high[drawn].compressed()
    if not low.size:
        return (line,)
    # where the survival is 0 there are no limits any more
    end = float(ages[low.size]) if low.size < ages.size else until
    x, lower = _stairs(ages[1 : low.size], low, float(ages[0]), end)
    _, upper = _stairs(ages[1 : low.size], high, float(ages[0]), end)
    return Area("limits", x, lower, upper, FAINT), line


def _fit(curve: Curve, fit: Weibull | None) -> tuple[Line, ...]:
    """The fitted life, given alive where the curve starts, as the curve is."""
    if fit is None or curve.least_at_risk < ENOUGH_AT_RISK:
        return ()
    points = np.linspace(curve.from_age or 0.0, curve.until_age or 0.0, _POINTS)
    hazard = fit.integrated_hazard(points)
    survival = np.exp(hazard[0] - hazard)
    return (Line("fit", (points / DAYS_PER_YEAR).tolist(), survival.tolist(), 1.3, "dashed"),)


def _stairs(
    ages: NDArray[np.generic], values: NDArray[np.float64], start: float, end: float
) -> tuple[list[float], list[float]]:
    """Points of stairs from start to end in years; a value holds up to the next age, at which the next begins."""
    edges = np.concatenate(([start], np.asarray(ages, dtype=np.float64), [end])) / DAYS_PER_YEAR
    return np.repeat(edges, 2)[1:-1].tolist(), np.repeat(values, 2).tolist()
