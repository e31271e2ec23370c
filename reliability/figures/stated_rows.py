"""Figure: every model against its stated rate, a row each."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from matplotlib.figure import Figure
from matplotlib.ticker import FixedLocator, FuncFormatter, NullLocator

from reliability.comparer.stated import Verdict
from reliability.figures.frame import LEFT, RIGHT, arrow, quiet
from reliability.figures.inks import ALARM, FAINT, INK, PAPER
from reliability.figures.rate_scale import percent
from reliability.interval import Interval
from reliability.scales import ratio_scale, round_rates

if TYPE_CHECKING:
    from collections.abc import Sequence

    from matplotlib.axes import Axes

    from reliability.rate import Rate

SHAPES = {
    Verdict.WORSE: "^",
    Verdict.BETTER: "v",
    Verdict.CONSISTENT: "o",
    Verdict.TOO_LITTLE: "o",
    None: "s",
}
FILLED = (Verdict.WORSE, Verdict.BETTER, Verdict.CONSISTENT)

_LONGEST_NAME = 26  # letters of a model's name in a figure; the table beside it has all of them


@dataclass(frozen=True, slots=True)
class AgainstStated:
    """One row of the figure that holds each model against its stated rate.

    stated   failures per drive-year; None without a datasheet
    verdict  by which the marker is chosen
    running  limits valid at every look, if there are any
    """

    name: str
    rate: Rate
    stated: float | None
    verdict: Verdict | None
    running: Interval | None = None


def against_stated(
    rows: Sequence[AgainstStated],
    *,
    level: float,
    ratio: float,
    names: Literal["beside", "above"] = "beside",
) -> Figure:
    """Each model's rate and limits on a logarithmic scale, with its stated rate and `ratio` times that.

    names    beside the rows on a wide page, above them on a narrow one

    On this scale a rate of nothing has no place: a model without a failure is a bar that comes from the left
    edge and carries no marker. A model without exposure is a dotted line from edge to edge.
    """
    wide = names == "beside"
    figure = Figure(figsize=(9.4, 0.75 + 0.4 * len(rows)) if wide else (3.75, 1.0 + 0.56 * len(rows)))
    figure.set_layout_engine("constrained")
    draw_rows(figure.subplots(), rows, level=level, ratio=ratio, wide=wide)
    return figure


def draw_rows(
    axes: Axes, rows: Sequence[AgainstStated], *, level: float, ratio: float, wide: bool = True
) -> None:
    """Draw the rows onto axes, the first on top.

    wide    whether names stand beside the rows, or above them
    """
    quiet(axes, "x")
    rates, stated = [row.rate for row in rows], [row.stated for row in rows]
    low, high = ratio_scale(rates, stated, level=level, ratio=ratio)
    axes.set_xscale("log")
    axes.set_xlim(low, high)
    axes.set_ylim(len(rows) - 0.5, -0.5 if wide else -0.85)
    axes.xaxis.set_major_locator(FixedLocator(round_rates(low, high, most=8 if wide else 5)))
    axes.xaxis.set_major_formatter(FuncFormatter(percent))
    axes.xaxis.set_minor_locator(NullLocator())
    axes.set_xlabel("failures per 100 drive-years", color=INK)
    axes.spines["left"].set_visible(False)
    axes.tick_params(axis="y", length=0)
    labels = [_shortened(row.name) + _reason(row.rate) for row in rows]
    axes.set_yticks(range(len(rows)), labels if wide else [""] * len(rows), parse_math=False)
    for place, row in enumerate(rows):
        _stated_band(axes, place, row.stated, ratio)
        _bar_across(axes, place, row, level)
        if not wide:
            sideways = axes.get_yaxis_transform()
            axes.text(
                0, place - 0.32, labels[place], transform=sideways, color=INK, va="bottom", parse_math=False
            )


def _stated_band(axes: Axes, place: int, stated: float | None, ratio: float) -> None:
    if stated is None:
        return
    ends = (place - 0.3, place + 0.3)
    axes.fill_between([stated, ratio * stated], *ends, color=INK, alpha=FAINT, lw=0, label="between")
    axes.plot([stated] * 2, ends, color=INK, lw=1.8, label="stated")
    axes.plot([ratio * stated] * 2, ends, color=INK, lw=0.8, ls=":", label="times stated")


def _bar_across(axes: Axes, place: int, row: AgainstStated, level: float) -> None:
    """Draw one row's limits and estimate, as far as the scale goes."""
    low, high = axes.get_xlim()
    limits = row.rate.interval(level)
    ink = ALARM if row.verdict is Verdict.WORSE else INK
    seen = [max(limits.low, low), min(limits.high, high)]
    width, dashes = (2.0, "-") if row.rate.per_year is not None else (1.0, ":")
    axes.plot(seen, [place] * 2, color=ink, lw=width, ls=dashes, label="limits", zorder=3)
    ends = limits
    if row.running is not None and row.rate.per_year is not None:
        ends = Interval(min(limits.low, row.running.low), max(limits.high, row.running.high), limits.level)
        shown = [max(ends.low, low), min(ends.high, high)]
        axes.plot(shown, [place] * 2, color=ink, lw=0.7, label="limits at every look", zorder=3)
    if ends.low < low:
        arrow(axes, low, place, LEFT, ink)
    if ends.high > high:
        arrow(axes, high, place, RIGHT, ink)
    if row.rate.per_year:
        shape, face = SHAPES[row.verdict], ink if row.verdict in FILLED else PAPER
        axes.plot([row.rate.per_year], [place], shape, color=ink, mfc=face, ms=8, label="rate", zorder=4)


def _reason(rate: Rate) -> str:
    if rate.per_year is None:
        return ", no exposure"
    return "" if rate.failures else ", no failure"


def _shortened(name: str) -> str:
    return name if len(name) <= _LONGEST_NAME else name[: _LONGEST_NAME - 1] + "…"
