"""Figure: one model's failure rate by age band."""

from __future__ import annotations

from typing import TYPE_CHECKING

from matplotlib.ticker import MaxNLocator

from reliability.figures.frame import STEPS, UP, arrow, panel, written
from reliability.figures.inks import FAINT, INK
from reliability.units import DAYS_PER_YEAR

if TYPE_CHECKING:
    from collections.abc import Sequence

    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

    from reliability.rate import Rate

_OPEN_BAND_DAYS = 2 * DAYS_PER_YEAR  # how far the last age band, which has no end, is drawn


def hazard_by_age(
    bands: Sequence[tuple[float, float | None]],
    rates: Sequence[Rate],
    *,
    stated: float | None,
    level: float,
    ratio: float,
) -> Figure:
    """One model's failure rate by age with its limits, a step a band; a band without exposure stays empty.

    bands    first age and end of each band in days; None ends the last one, which is drawn two years long
    """
    figure, axes, top = panel(rates, stated, level=level, ratio=ratio)
    draw_bands(axes, bands, rates, level=level, top=top)
    return figure


def draw_bands(
    axes: Axes,
    bands: Sequence[tuple[float, float | None]],
    rates: Sequence[Rate],
    *,
    level: float,
    top: float,
) -> None:
    """Draw rate and limits of each band onto axes, ages in years, as far as the scale goes."""
    years = [(start / DAYS_PER_YEAR, _end(start, end) / DAYS_PER_YEAR) for start, end in bands]
    lived = [end for (_, end), rate in zip(years, rates, strict=True) if rate.per_year is not None]
    axes.set_xlim(0, max(lived, default=1.0))
    axes.xaxis.set_major_locator(MaxNLocator(nbins=8, steps=STEPS, integer=True))
    axes.set_xlabel("age in years", color=INK)
    for (start, end), rate in zip(years, rates, strict=True):
        if rate.per_year is None:
            continue
        limits = rate.interval(level)
        seen = (limits.low, min(limits.high, top))
        axes.fill_between([start, end], *seen, color=INK, alpha=FAINT, lw=0, label="limits", zorder=1)
        if limits.high > top:
            arrow(axes, (start + end) / 2, top, UP)
        if rate.per_year > top:
            written(axes, (start + end) / 2, top, rate.per_year)
        else:
            axes.plot([start, end], [rate.per_year] * 2, color=INK, lw=2.4, clip_on=False, label="rate")


def _end(start: float, end: float | None) -> float:
    return start + _OPEN_BAND_DAYS if end is None else end
