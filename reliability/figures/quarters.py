"""Figure: one model's rate quarter by quarter."""

from __future__ import annotations

from typing import TYPE_CHECKING

from reliability.figures.frame import UP, arrow, panel, written
from reliability.figures.inks import INK

if TYPE_CHECKING:
    from collections.abc import Sequence

    from matplotlib.figure import Figure

    from reliability.rate import Rate


def rates_by_quarter(
    labels: Sequence[str], rates: Sequence[Rate], *, stated: float | None, level: float, ratio: float
) -> Figure:
    """One model's rate quarter by quarter with its limits; a quarter without exposure stays empty.

    labels    names of the quarters, oldest first; the last one is the one reported, and drawn in bold
    """
    figure, axes, top = panel(rates, stated, level=level, ratio=ratio)
    axes.set_xlim(-0.6, len(rates) - 0.4)
    axes.set_xticks(range(len(rates)), labels, parse_math=False)
    for place, rate in enumerate(rates):
        if rate.per_year is None:
            continue
        limits = rate.interval(level)
        width, size = (2.4, 5.5) if place == len(rates) - 1 else (1.3, 4.0)
        axes.plot([place] * 2, [limits.low, min(limits.high, top)], color=INK, lw=width, label="limits")
        if limits.high > top:
            arrow(axes, place, top, UP)
        if rate.per_year > top:
            written(axes, place, top, rate.per_year)
        else:
            axes.plot(
                [place], [rate.per_year], "o", color=INK, ms=size, clip_on=False, zorder=4, label="rate"
            )
    return figure
