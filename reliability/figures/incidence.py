"""Figure: what became of the drives by age, each way to leave laid on top of the others."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from matplotlib.figure import Figure
from matplotlib.ticker import FuncFormatter, MaxNLocator

from reliability.curve import share
from reliability.figures.age_axis import age_axis
from reliability.figures.frame import PANEL, STEPS, quiet
from reliability.figures.inks import INK
from reliability.scales import steps_to_draw
from reliability.units import DAYS_PER_YEAR

if TYPE_CHECKING:
    from collections.abc import Sequence

    from matplotlib.axes import Axes

    from reliability.survival.cumulative_incidence import CumulativeIncidence

WAYS = (("failed", 0.85), ("retired", 0.42), ("vanished", 0.16))  # from the bottom up, with its opacity
_LEAST_GAP = 0.15  # between two names, as a part of the height
_MARGIN = 1.15


def incidence_by_age(shares: CumulativeIncidence, ages: Sequence[int]) -> Figure:
    """One model's shares of drives that have failed, been retired or vanished by each age, as stairs in a stack.

    ages  in days, at which the axis has ticks

    Beside the stack stand the names with the shares at the last age shown.
    """
    figure = Figure(figsize=PANEL, layout="constrained")
    axes = figure.subplots()
    quiet(axes, "y")
    draw_incidence(axes, shares)
    age_axis(axes, shares.until_age, [(age, None) for age in ages])
    return figure


def draw_incidence(axes: Axes, shares: CumulativeIncidence) -> None:
    """Draw the stack and its names onto axes, ages in years."""
    if shares.from_age is None or shares.until_age is None:
        return
    seen = steps_to_draw(shares.ages[shares.ages <= shares.until_age].tolist())
    edges = np.concatenate(([shares.from_age], shares.ages[seen], [shares.until_age])) / DAYS_PER_YEAR
    x = np.repeat(edges, 2)[1:-1]
    below, ends, last = np.zeros(x.size), [], []
    for name, opacity in WAYS:
        share_ = np.concatenate(([0.0], getattr(shares, name)[seen]))
        above = below + np.repeat(share_, 2)
        axes.fill_between(x, below, above, color=INK, alpha=opacity, lw=0, label=name, zorder=2)
        ends.append(float(below[-1] + above[-1]) / 2)
        last.append(float(share_[-1]))
        below = above
    top = float(below[-1]) * _MARGIN or 1.0
    axes.set_ylim(0, min(top, 1.0))
    axes.yaxis.set_major_locator(MaxNLocator(nbins=4, steps=STEPS))
    axes.yaxis.set_major_formatter(FuncFormatter(lambda part, _place: f"{100 * part:.6g} %"))
    for (name, opacity), place, value in zip(WAYS, _apart([end / top for end in ends]), last, strict=True):
        key = axes.plot([1.04], [place], "s", color=INK, alpha=opacity, ms=6, mew=0, label=f"{name}, key")[0]
        text = axes.text(1.075, place, f"{name} {share(value)} %", color=INK, va="center", fontsize=9)
        for artist in (key, text):
            artist.set_transform(axes.transAxes)
            artist.set_clip_on(False)


def _apart(places: Sequence[float]) -> list[float]:
    """Heights in rising order, moved up as far as it takes that no two names meet."""
    moved: list[float] = []
    for place in places:
        moved.append(max(place, moved[-1] + _LEAST_GAP) if moved else max(place, 0.04))
    return moved
