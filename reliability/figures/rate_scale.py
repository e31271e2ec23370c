"""The scale of rates from zero that panels share, with the stated rate and what it is held against as lines."""

from __future__ import annotations

from typing import TYPE_CHECKING

from reliability.figures.panel import GoesOn, Line, Scale, Written
from reliability.scales import round_steps, top_from_zero

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from reliability.figures.panel import Mark
    from reliability.interval import Interval
    from reliability.rate import Rate

_TICKS = 5


def scale_from_zero(rates: Sequence[Rate], stated: float | None, *, level: float, ratio: float) -> Scale:
    """Choose the scale of a panel: from zero to a top that shows what matters."""
    top = top_from_zero(rates, stated, level=level, ratio=ratio)
    return Scale(0.0, top, [(rate, percent(rate)) for rate in round_steps(0.0, top, most=_TICKS)])


def stated_lines(across: Scale, stated: float | None, ratio: float) -> tuple[Line, ...]:
    """The stated rate, and `ratio` times that, from edge to edge; nothing without one."""
    if stated is None:
        return ()
    ends = (across.low, across.high)
    return (
        Line("stated", ends, (stated, stated), 1.0),
        Line("times stated", ends, (ratio * stated, ratio * stated), 1.0, "dotted"),
    )


def beyond(x: float, rate: float, limits: Interval, top: float) -> Iterator[Mark]:
    """What is drawn at the upper edge where limits or an estimate lie beyond it."""
    if limits.high > top:
        yield GoesOn(x, top)
    if rate > top:
        yield Written(x, top, percent(rate))


def percent(rate: float, _place: int | None = None) -> str:
    """Write a rate along a scale."""
    return f"{100 * rate:.2g} %" if rate < 1 else f"{100 * rate:,.0f} %"
