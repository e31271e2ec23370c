"""A panel's marks onto axes of matplotlib, for people at a keyboard."""

from __future__ import annotations

from typing import TYPE_CHECKING

from reliability.figures.frame import UP, arrow
from reliability.figures.inks import INK
from reliability.figures.panel import Area, Beside, Dot, GoesOn, Line, Written

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from reliability.figures.panel import Mark, Panel, Scale

_STYLES = {"solid": "-", "dotted": ":", "dashed": (0, (4, 2.5))}


def onto(axes: Axes, panel: Panel) -> None:
    """Draw the marks and the scale on the left; the scale across stays that of the axes."""
    scale_up(axes, panel.up)
    for mark in panel.marks:
        _draw(axes, mark)


def scale_up(axes: Axes, scale: Scale) -> None:
    """Give axes a scale on the left."""
    axes.set_ylim(scale.low, scale.high)
    axes.set_yticks([place for place, _ in scale.ticks], [text for _, text in scale.ticks])


def _draw(axes: Axes, mark: Mark) -> None:
    match mark:
        case Line():
            style = _STYLES[mark.dash]
            axes.plot(mark.x, mark.y, color=INK, lw=mark.width, ls=style, label=mark.name, zorder=3)
        case Area():
            axes.fill_between(
                mark.x, mark.low, mark.high, color=INK, alpha=mark.opacity, lw=0, label=mark.name, zorder=2
            )
        case Dot():
            axes.plot([mark.x], [mark.y], "o", color=INK, ms=mark.size, label=mark.name, zorder=4)
        case GoesOn():
            arrow(axes, mark.x, mark.y, UP)
        case Written():
            place = (mark.x, mark.y)
            axes.annotate(mark.text, place, (0, 4), textcoords="offset points", ha="center", color=INK)
        case Beside():
            _write_beside(axes, mark)


def _write_beside(axes: Axes, mark: Beside) -> None:
    key = axes.plot([1.04], [mark.height], "s", color=INK, alpha=mark.opacity, ms=6, mew=0, label=mark.name)[
        0
    ]
    text = axes.text(1.075, mark.height, mark.text, color=INK, va="center", fontsize=9)
    for artist in (key, text):
        artist.set_transform(axes.transAxes)
        artist.set_clip_on(False)
