"""Figure: models side by side, the raw rate of each above the shrunk one, and which are not told apart."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

from matplotlib.figure import Figure
from matplotlib.ticker import FixedLocator, FuncFormatter, NullLocator

from reliability.figures.frame import LEFT, RIGHT, arrow, quiet
from reliability.figures.inks import INK, PAPER
from reliability.figures.rate_scale import percent
from reliability.scales import ratio_scale, round_rates

if TYPE_CHECKING:
    from collections.abc import Sequence

    from matplotlib.axes import Axes

    from reliability.comparer.ranking import Ranked
    from reliability.interval import Interval

_APART = 0.16  # of a row, each of the two from its middle
_LONGEST_NAME = 26  # letters of a model's name in a figure; the table beside it has all of them
_BRACKETS = 1.015  # where the first bracket stands, in widths of the axes
_NEXT_BRACKET = {True: 0.014, False: 0.03}  # on a wide page, and on a narrow one


def ranking(
    rows: Sequence[Ranked],
    *,
    level: float,
    together: Sequence[tuple[int, int]] = (),
    names: Literal["beside", "above"] = "beside",
) -> Figure:
    """Each model's raw rate and limits as a thin bar, its shrunk rate and limits below it as a thick one.

    together  first and last row of each run of models that cannot be told apart: a bracket on the right joins them
    names     beside the rows on a wide page, above them on a narrow one

    The scale is logarithmic and chosen for the raw rates: limits that leave it end in an open arrow. A model
    without a failure has no raw marker, since nothing has no place on it; one whose shrunk rate was refused has
    its raw bar alone.
    """
    wide = names == "beside"
    size = (9.4, 0.75 + 0.46 * len(rows)) if wide else (3.75, 1.0 + 0.66 * len(rows))
    figure = Figure(figsize=size, layout="constrained")
    axes = figure.subplots()
    _scale(axes, rows, level, wide=wide)
    for place, row in enumerate(rows):
        rate = row.model.rate
        _bar(axes, place - _APART, rate.per_year, rate.interval(level), kind="raw")
        if row.shrunk is not None:
            _bar(axes, place + _APART, row.shrunk.per_year, row.shrunk.interval, kind="shrunk")
    _join(axes, together, _NEXT_BRACKET[wide])
    return figure


def _scale(axes: Axes, rows: Sequence[Ranked], level: float, *, wide: bool) -> None:
    quiet(axes, "x")
    low, high = ratio_scale([row.model.rate for row in rows], [], level=level, ratio=1.0)
    axes.set_xscale("log")
    axes.set_xlim(low, high)
    axes.set_ylim(len(rows) - 0.5, -0.5 if wide else -0.85)
    axes.xaxis.set_major_locator(FixedLocator(round_rates(low, high, most=8 if wide else 4)))
    axes.xaxis.set_major_formatter(FuncFormatter(percent))
    axes.xaxis.set_minor_locator(NullLocator())
    axes.set_xlabel("failures per 100 drive-years; thin: raw, thick: shrunk", color=INK)
    axes.spines["left"].set_visible(False)
    axes.tick_params(axis="y", length=0)
    names = [_shortened(row.model.name) for row in rows]
    axes.set_yticks(range(len(rows)), names if wide else [""] * len(rows), parse_math=False)
    if not wide:
        for place, name in enumerate(names):
            above = axes.get_yaxis_transform()
            axes.text(0, place - 0.32, name, transform=above, color=INK, va="bottom", parse_math=False)


def _join(axes: Axes, together: Sequence[tuple[int, int]], apart: float) -> None:
    """Stand a bracket beside each run, in the first column that is free for it."""
    ends: list[int] = []  # last row of the lowest bracket in each column
    for first, last in together:
        free = [column for column, end in enumerate(ends) if end < first]
        column = free[0] if free else len(ends)
        ends[column : column + 1] = [last]
        place = _BRACKETS + apart * column
        where = axes.get_yaxis_transform()
        rows = [first - 0.3, last + 0.3]
        axes.plot(
            [place] * 2, rows, color=INK, lw=2.4, transform=where, clip_on=False, label="not told apart"
        )


def _bar(axes: Axes, height: float, rate: float | None, limits: Interval, *, kind: str) -> None:
    """Draw limits and estimate, as far as the scale goes."""
    low, high = axes.get_xlim()
    width, face = (2.4, INK) if kind == "shrunk" else (0.9, PAPER)
    seen = [max(limits.low, low), min(limits.high, high)]
    axes.plot(seen, [height] * 2, color=INK, lw=width, label=f"{kind} limits", zorder=3)
    if limits.low < low:
        arrow(axes, low, height, LEFT)
    if limits.high > high:
        arrow(axes, high, height, RIGHT)
    if rate:
        axes.plot([rate], [height], "o", color=INK, mfc=face, ms=5, label=f"{kind} rate", zorder=4)


def _shortened(name: str) -> str:
    return name if len(name) <= _LONGEST_NAME else f"{name[: _LONGEST_NAME - 1]}…"
