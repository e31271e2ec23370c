"""Figure: one model's failure rate by age band."""

from __future__ import annotations

from typing import TYPE_CHECKING

from reliability.figures.inks import FAINT
from reliability.figures.panel import Area, Line, Panel, Scale
from reliability.figures.rate_scale import beyond, scale_from_zero, stated_lines
from reliability.scales import round_steps
from reliability.units import DAYS_PER_YEAR

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from reliability.figures.panel import Mark
    from reliability.rate import Rate

_OPEN_BAND_DAYS = 2 * DAYS_PER_YEAR  # how far the last age band, which has no end, is drawn
_TICKS = 8


def hazard_by_age(
    bands: Sequence[tuple[float, float | None]],
    rates: Sequence[Rate],
    *,
    stated: float | None,
    level: float,
    ratio: float,
) -> Panel:
    """One model's failure rate by age with its limits, a step a band; a band without exposure stays empty.

    bands    first age and end of each band in days; None ends the last one, which is drawn two years long
    """
    years = [(start / DAYS_PER_YEAR, _end(start, end) / DAYS_PER_YEAR) for start, end in bands]
    lived = max(
        (end for (_, end), rate in zip(years, rates, strict=True) if rate.per_year is not None), default=1.0
    )
    ticks = [(year, f"{year:.0f}") for year in round_steps(0.0, lived, most=_TICKS, least=1.0)]
    across = Scale(0.0, lived, ticks)
    up = scale_from_zero(rates, stated, level=level, ratio=ratio)
    marks = [
        mark for ends, rate in zip(years, rates, strict=True) for mark in _band(ends, rate, level, up.high)
    ]
    return Panel(across, up, (*stated_lines(across, stated, ratio), *marks), "age in years")


def _band(ends: tuple[float, float], rate: Rate, level: float, top: float) -> Iterator[Mark]:
    """Rate and limits of a band, as far as the scale goes."""
    if rate.per_year is None:
        return
    limits = rate.interval(level)
    low, high = min(limits.low, top), min(limits.high, top)
    yield Area("limits", ends, (low, low), (high, high), FAINT)
    if rate.per_year <= top:
        yield Line("rate", ends, (rate.per_year, rate.per_year), 2.4)
    yield from beyond(sum(ends) / 2, rate.per_year, limits, top)


def _end(start: float, end: float | None) -> float:
    return start + _OPEN_BAND_DAYS if end is None else end
