"""What figures on axes share: a quiet frame, and what is drawn where a scale ends."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

from matplotlib.path import Path

from reliability.figures.inks import FAINT, INK

if TYPE_CHECKING:
    from matplotlib.axes import Axes

LEFT = Path([(1, 1), (0, 0), (1, -1)])
RIGHT = Path([(-1, 1), (0, 0), (-1, -1)])
UP = Path([(-1, -1), (0, 0), (1, -1)])


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
