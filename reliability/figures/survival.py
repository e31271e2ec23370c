"""Figure: survival by age as it was seen, and the fitted line over it."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from matplotlib.figure import Figure
from matplotlib.ticker import FuncFormatter, MaxNLocator

from reliability.curve import ENOUGH_AT_RISK
from reliability.figures.age_axis import age_axis
from reliability.figures.frame import quiet
from reliability.figures.inks import FAINT, INK
from reliability.scales import steps_to_draw, survival_floor
from reliability.units import DAYS_PER_YEAR

if TYPE_CHECKING:
    from collections.abc import Sequence

    from matplotlib.axes import Axes
    from numpy.typing import NDArray

    from reliability.curve import Curve
    from reliability.survival.weibull_life import Weibull

SIZE = (3.75, 2.5)  # inches; higher than other panels, for the numbers at risk below
_POINTS = 80  # of the fitted line, which is smooth


def survival_by_age(curve: Curve, fit: Weibull | None, at_risk: Sequence[tuple[int, int]]) -> Figure:
    """One model's survival with its limits, a step a failure, and the fitted life as a broken line.

    fit      drawn only at ages at which the curve is shown and 10 or more are at risk
    at_risk  age in days and drives at risk at it, to be written under the axis

    The curve ends at the last age at which enough are at risk, and starts where it is given alive.
    """
    figure = Figure(figsize=SIZE, layout="constrained")
    axes = figure.subplots()
    quiet(axes, "y")
    draw_curve(axes, curve, fit)
    age_axis(axes, curve.until_age, at_risk)
    return figure


def draw_curve(axes: Axes, curve: Curve, fit: Weibull | None = None) -> None:
    """Draw the curve, its limits and a fit onto axes, ages in years."""
    if curve.from_age is None or curve.until_age is None:
        return
    ends = (curve.from_age, curve.until_age)
    drawn = steps_to_draw(curve.ages[: curve.shown].tolist())
    ages, survival = curve.ages[drawn], np.concatenate(([1.0], curve.survival[drawn]))
    axes.plot(*_stairs(ages, survival, *ends), color=INK, lw=1.8, label="survival", zorder=3)
    low, high = curve.low[drawn].compressed(), curve.high[drawn].compressed()
    if low.size:
        # where the survival is 0 there are no limits any more
        end = float(ages[low.size]) if low.size < ages.size else curve.until_age
        x, lower = _stairs(ages[1 : low.size], low, float(ages[0]), end)
        _, upper = _stairs(ages[1 : low.size], high, float(ages[0]), end)
        axes.fill_between(x, lower, upper, color=INK, alpha=FAINT, lw=0, label="limits", zorder=1)
    lowest = min([float(survival[-1]), *low.tolist()])
    if fit is not None and curve.least_at_risk >= ENOUGH_AT_RISK:
        points = np.linspace(*ends, _POINTS)
        hazard = fit.integrated_hazard(points)
        line = np.exp(hazard[0] - hazard)  # given alive where the curve starts, as the curve is
        axes.plot(points / DAYS_PER_YEAR, line, color=INK, lw=1.3, ls=(0, (4, 2.5)), label="fit", zorder=4)
        lowest = min(lowest, float(line[-1]))
    share_axis(axes, lowest)


def share_axis(axes: Axes, lowest: float) -> None:
    """Lay out the axis of survival from a round share below the lowest shown up to 100 %."""
    axes.set_ylim(survival_floor(lowest), 1)
    axes.yaxis.set_major_locator(MaxNLocator(nbins=4, steps=[1, 2, 2.5, 5, 10]))
    axes.yaxis.set_major_formatter(FuncFormatter(lambda share, _place: f"{100 * share:.6g} %"))


def _stairs(
    ages: NDArray[np.generic], values: NDArray[np.float64], start: float, end: float
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Points of stairs from start to end in years; a value holds up to the next age, at which the next begins."""
    edges = np.concatenate(([start], np.asarray(ages, dtype=np.float64), [end])) / DAYS_PER_YEAR
    return np.repeat(edges, 2)[1:-1], np.repeat(values, 2)
