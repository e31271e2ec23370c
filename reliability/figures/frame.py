"""What all figures share: a quiet frame, ages in years, and what is drawn where a scale ends."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

from matplotlib.figure import Figure
from matplotlib.path import Path
from matplotlib.ticker import FuncFormatter, MaxNLocator

from reliability.figures.inks import FAINT, INK
from reliability.scales import top_from_zero

if TYPE_CHECKING:
    from collections.abc import Sequence

    from matplotlib.axes import Axes

    from reliability.rate import Rate

LEFT = Path([(1, 1), (0, 0), (1, -1)])
RIGHT = Path([(-1, 1), (0, 0), (-1, -1)])
UP = Path([(-1, -1), (0, 0), (1, -1)])

PANEL = (3.75, 2.2)  # inches of a small multiple: it fits a phone
STEPS = [1, 2, 5, 10]  # between the ticks of a scale from zero


def panel(
    rates: Sequence[Rate], stated: float | None, *, level: float, ratio: float
) -> tuple[Figure, Axes, float]:
    """Lay out a small panel from zero to a top, with the stated rate and `ratio` times that as lines."""
    figure = Figure(figsize=PANEL, layout="constrained")
    axes = figure.subplots()
    return figure, axes, scale_from_zero(axes, rates, stated, level=level, ratio=ratio)


def scale_from_zero(
    axes: Axes, rates: Sequence[Rate], stated: float | None, *, level: float, ratio: float
) -> float:
    """Give axes the scale of a panel, and say where it ends."""
    quiet(axes, "y")
    top = top_from_zero(rates, stated, level=level, ratio=ratio)
    axes.set_ylim(0, top)
    axes.yaxis.set_major_locator(MaxNLocator(nbins=4, steps=STEPS))
    axes.yaxis.set_major_formatter(FuncFormatter(percent))
    if stated is not None:
        axes.axhline(stated, color=INK, lw=1.0, label="stated", zorder=2)
        axes.axhline(ratio * stated, color=INK, lw=1.0, ls=":", label="times stated", zorder=2)
    return top


def quiet(axes: Axes, measured: Literal["x", "y"]) -> None:
    """Keep of the frame only what is read."""
    axes.spines[["top", "right"]].set_visible(False)
    axes.spines[["left", "bottom"]].set_color(INK)
    axes.spines[["left", "bottom"]].set_linewidth(0.6)
    axes.tick_params(colors=INK, labelsize=9, width=0.6, length=3)
    axes.grid(axis=measured, color=INK, alpha=FAINT, lw=0.6)
    axes.set_axisbelow(True)


def arrow(axes: Axes, x: float, y: float, shape: Path, ink: str = INK) -> None:
    """Say at the edge of a scale that something goes on beyond it."""
    (arrow,) = axes.plot([x], [y], marker=shape, color=ink, ms=7, clip_on=False, label="goes on", zorder=4)
    arrow.set_markerfacecolor("none")
    arrow.set_markeredgewidth(1.2)


def written(axes: Axes, x: float, top: float, rate: float) -> None:
    """Write an estimate that lies beyond the scale above its edge."""
    text = axes.annotate(percent(rate), (x, top), (0, 4), textcoords="offset points", ha="center", color=INK)
    text.set_fontsize(8)
    text.set_label("off the scale")


def percent(rate: float, _place: int | None = None) -> str:
    """Write a rate along a scale."""
    return f"{100 * rate:.2g} %" if rate < 1 else f"{100 * rate:,.0f} %"
