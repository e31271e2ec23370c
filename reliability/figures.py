"""Nouns to figures: the only file that knows matplotlib, and it does no statistics.

Every function takes rates that know their own limits and gives a Figure that belongs to no global state.
Limits that leave a scale run to its edge and end in an open arrow; nothing unknown is drawn as if known.
The inks are odd colours that `svg` turns into the page's own, so one figure serves light, dark and print.
"""

from __future__ import annotations

import html
import io
import re
import warnings
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

import matplotlib as mpl
from matplotlib.figure import Figure
from matplotlib.path import Path
from matplotlib.ticker import FixedLocator, FuncFormatter, MaxNLocator, NullLocator

from reliability.comparer.stated import Verdict
from reliability.scales import ratio_scale, round_rates, top_from_zero
from reliability.units import DAYS_PER_YEAR

if TYPE_CHECKING:
    from collections.abc import Sequence

    from matplotlib.axes import Axes

    from reliability.rate import Rate

INK = "#010203"  # becomes the colour of the page's text; no page has this colour by chance
ALARM = "#030201"  # becomes the page's one accent, for a verdict of worse
PAPER = "#020103"  # becomes the page's ground
FAINT = 0.13  # opacity of what lies behind the ink

SHAPES = {
    Verdict.WORSE: "^",
    Verdict.BETTER: "v",
    Verdict.CONSISTENT: "o",
    Verdict.TOO_LITTLE: "o",
    None: "s",
}
FILLED = (Verdict.WORSE, Verdict.BETTER, Verdict.CONSISTENT)

_LEFT = Path([(1, 1), (0, 0), (1, -1)])
_RIGHT = Path([(-1, 1), (0, 0), (-1, -1)])
_UP = Path([(-1, -1), (0, 0), (1, -1)])

_OPEN_BAND_DAYS = 2 * DAYS_PER_YEAR  # how far the last age band, which has no end, is drawn
_LONGEST_NAME = 26  # letters of a model's name in a figure; the table beside it has all of them
_STEPS = [1, 2, 5, 10]  # between the ticks of a scale from zero


@dataclass(frozen=True, slots=True)
class AgainstStated:
    """One row of the figure that holds each model against its stated rate."""

    name: str
    rate: Rate
    stated: float | None  # failures per drive-year; None without a datasheet
    verdict: Verdict | None


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
    axes = figure.subplots()
    _quiet(axes, "x")
    rates, stated = [row.rate for row in rows], [row.stated for row in rows]
    low, high = ratio_scale(rates, stated, level=level, ratio=ratio)
    axes.set_xscale("log")
    axes.set_xlim(low, high)
    axes.set_ylim(len(rows) - 0.5, -0.5 if wide else -0.85)
    axes.xaxis.set_major_locator(FixedLocator(round_rates(low, high, most=8 if wide else 5)))
    axes.xaxis.set_major_formatter(FuncFormatter(_percent))
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
    return figure


def rates_by_quarter(
    labels: Sequence[str], rates: Sequence[Rate], *, stated: float | None, level: float, ratio: float
) -> Figure:
    """One model's rate quarter by quarter with its limits; a quarter without exposure stays empty.

    labels    names of the quarters, oldest first; the last one is the one reported, and drawn in bold
    """
    figure, axes, top = _panel(rates, stated, level=level, ratio=ratio)
    axes.set_xlim(-0.6, len(rates) - 0.4)
    axes.set_xticks(range(len(rates)), labels, parse_math=False)
    for place, rate in enumerate(rates):
        if rate.per_year is None:
            continue
        limits = rate.interval(level)
        width, size = (2.4, 5.5) if place == len(rates) - 1 else (1.3, 4.0)
        axes.plot([place] * 2, [limits.low, min(limits.high, top)], color=INK, lw=width, label="limits")
        if limits.high > top:
            _arrow(axes, place, top, _UP)
        if rate.per_year > top:
            _written(axes, place, top, rate.per_year)
        else:
            axes.plot(
                [place], [rate.per_year], "o", color=INK, ms=size, clip_on=False, zorder=4, label="rate"
            )
    return figure


def hazard_by_age(
    bands: Sequence[tuple[int, int | None]],
    rates: Sequence[Rate],
    *,
    stated: float | None,
    level: float,
    ratio: float,
) -> Figure:
    """One model's failure rate by age with its limits, a step a band; a band without exposure stays empty.

    bands    first age and end of each band in days; None ends the last one, which is drawn two years long
    """
    figure, axes, top = _panel(rates, stated, level=level, ratio=ratio)
    years = [(start / DAYS_PER_YEAR, _end(start, end) / DAYS_PER_YEAR) for start, end in bands]
    lived = [end for (_, end), rate in zip(years, rates, strict=True) if rate.per_year is not None]
    axes.set_xlim(0, max(lived, default=1.0))
    axes.xaxis.set_major_locator(MaxNLocator(nbins=8, steps=_STEPS, integer=True))
    axes.set_xlabel("age in years", color=INK)
    for (start, end), rate in zip(years, rates, strict=True):
        if rate.per_year is None:
            continue
        limits = rate.interval(level)
        seen = (limits.low, min(limits.high, top))
        axes.fill_between([start, end], *seen, color=INK, alpha=FAINT, lw=0, label="limits", zorder=1)
        if limits.high > top:
            _arrow(axes, (start + end) / 2, top, _UP)
        if rate.per_year > top:
            _written(axes, (start + end) / 2, top, rate.per_year)
        else:
            axes.plot([start, end], [rate.per_year] * 2, color=INK, lw=2.4, clip_on=False, label="rate")
    return figure


def svg(figure: Figure, name: str, *, title: str, description: str) -> str:
    """Give the figure as text to set into a page: no address, no ink of its own, no id of another figure.

    name    letters, digits and hyphens, unique in the page; all ids start with it
    """
    out = io.StringIO()
    silence = {"Date": None, "Creator": None, "Format": None, "Type": None}
    with mpl.rc_context({"svg.hashsalt": name, "svg.fonttype": "none"}), warnings.catch_warnings():
        # text stays text, so the reader's own fonts have the letters that ours lacks
        warnings.filterwarnings("ignore", message="Glyph .* missing from", category=UserWarning)
        figure.savefig(out, format="svg", transparent=True, metadata=silence)
    drawing = out.getvalue()
    inner = drawing[drawing.index(">", drawing.index("<svg")) + 1 : drawing.rindex("</svg>")]
    inner = re.sub(
        r"<style type=\"text/css\">.*?</style>", "", inner, flags=re.DOTALL
    )  # it would style the page
    inner = inner.replace("xlink:href", "href")
    inner = re.sub(r'(\bid="|\burl\(#|\bhref="#)', rf"\g<1>{name}-", inner)
    for ours, theirs in ((INK, "currentColor"), (ALARM, "var(--worse)"), (PAPER, "var(--paper)")):
        inner = inner.replace(ours, theirs)
    width, height = (f"{72 * inches:g}" for inches in figure.get_size_inches())
    return (
        f'<svg role="img" aria-labelledby="{name}-title {name}-description" '
        f'width="{width}pt" height="{height}pt" viewBox="0 0 {width} {height}">'
        f'<title id="{name}-title">{html.escape(title)}</title>'
        f'<desc id="{name}-description">{html.escape(description)}</desc>{inner}</svg>'
    )


def _panel(
    rates: Sequence[Rate], stated: float | None, *, level: float, ratio: float
) -> tuple[Figure, Axes, float]:
    """Lay out a small panel from zero to a top, with the stated rate and `ratio` times that as lines."""
    figure = Figure(figsize=(3.75, 2.2), layout="constrained")
    axes = figure.subplots()
    _quiet(axes, "y")
    top = top_from_zero(rates, stated, level=level, ratio=ratio)
    axes.set_ylim(0, top)
    axes.yaxis.set_major_locator(MaxNLocator(nbins=4, steps=_STEPS))
    axes.yaxis.set_major_formatter(FuncFormatter(_percent))
    if stated is not None:
        axes.axhline(stated, color=INK, lw=1.0, label="stated", zorder=2)
        axes.axhline(ratio * stated, color=INK, lw=1.0, ls=":", label="times stated", zorder=2)
    return figure, axes, top


def _quiet(axes: Axes, measured: Literal["x", "y"]) -> None:
    """Keep of the frame only what is read."""
    axes.spines[["top", "right"]].set_visible(False)
    axes.spines[["left", "bottom"]].set_color(INK)
    axes.spines[["left", "bottom"]].set_linewidth(0.6)
    axes.tick_params(colors=INK, labelsize=9, width=0.6, length=3)
    axes.grid(axis=measured, color=INK, alpha=FAINT, lw=0.6)
    axes.set_axisbelow(True)


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
    if limits.low < low:
        _arrow(axes, low, place, _LEFT, ink)
    if limits.high > high:
        _arrow(axes, high, place, _RIGHT, ink)
    if row.rate.per_year:
        shape, face = SHAPES[row.verdict], ink if row.verdict in FILLED else PAPER
        axes.plot([row.rate.per_year], [place], shape, color=ink, mfc=face, ms=8, label="rate", zorder=4)


def _arrow(axes: Axes, x: float, y: float, shape: Path, ink: str = INK) -> None:
    (arrow,) = axes.plot([x], [y], marker=shape, color=ink, ms=7, clip_on=False, label="goes on", zorder=4)
    arrow.set_markerfacecolor("none")
    arrow.set_markeredgewidth(1.2)


def _written(axes: Axes, x: float, top: float, rate: float) -> None:
    """Write an estimate that lies beyond the scale above its edge."""
    text = axes.annotate(_percent(rate), (x, top), (0, 4), textcoords="offset points", ha="center", color=INK)
    text.set_fontsize(8)
    text.set_label("off the scale")


def _percent(rate: float, _place: int | None = None) -> str:
    return f"{100 * rate:.2g} %" if rate < 1 else f"{100 * rate:,.0f} %"


def _reason(rate: Rate) -> str:
    if rate.per_year is None:
        return ", no exposure"
    return "" if rate.failures else ", no failure"


def _shortened(name: str) -> str:
    return name if len(name) <= _LONGEST_NAME else name[: _LONGEST_NAME - 1] + "…"


def _end(start: int, end: int | None) -> int:
    return start + _OPEN_BAND_DAYS if end is None else end
