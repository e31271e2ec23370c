"""Figure: one model's rate quarter by quarter."""

from __future__ import annotations

from typing import TYPE_CHECKING

from reliability.figures.panel import Dot, Line, Panel, Scale
from reliability.figures.rate_scale import beyond, scale_from_zero, stated_lines

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from reliability.figures.panel import Mark
    from reliability.rate import Rate

_REPORTED, _BEFORE = (2.4, 5.5), (1.3, 4.0)  # points: width of limits, size of the marker


def rates_by_quarter(
    labels: Sequence[str], rates: Sequence[Rate], *, stated: float | None, level: float, ratio: float
) -> Panel:
    """One model's rate quarter by quarter with its limits; a quarter without exposure stays empty.

    labels    names of the quarters, oldest first; the last one is the one reported, and drawn in bold
    """
    across = Scale(-0.6, len(rates) - 0.4, list(enumerate(labels)))
    up = scale_from_zero(rates, stated, level=level, ratio=ratio)
    marks = [
        mark
        for place, rate in enumerate(rates)
        for mark in _quarter(place, rate, level, up.high, _REPORTED if place == len(rates) - 1 else _BEFORE)
    ]
    return Panel(across, up, (*stated_lines(across, stated, ratio), *marks))


def _quarter(place: int, rate: Rate, level: float, top: float, weight: tuple[float, float]) -> Iterator[Mark]:
    if rate.per_year is None:
        return
    limits = rate.interval(level)
    width, size = weight
    yield Line("limits", (place, place), (min(limits.low, top), min(limits.high, top)), width)
    if rate.per_year <= top:
        yield Dot("rate", place, rate.per_year, size)
    yield from beyond(place, rate.per_year, limits, top)
