"""The scale of ages from 0 on, in years or, for young fleets, in months, with numbers at risk under it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from reliability.figures.panel import Scale
from reliability.units import DAYS_PER_YEAR, MONTHS_PER_YEAR

if TYPE_CHECKING:
    from collections.abc import Sequence


def age_axis(until: float | None, at_risk: Sequence[tuple[int, int | None]]) -> tuple[Scale, str]:
    """Lay out the scale from age 0 to `until`, in days, with a tick at each age in `at_risk`; and its label.

    at_risk  ages in days, and the number to write under each; None: no number
    """
    end = until or DAYS_PER_YEAR
    months = end < DAYS_PER_YEAR
    names = [round(age * MONTHS_PER_YEAR / DAYS_PER_YEAR) for age, _ in at_risk]
    names = names if months else [name // MONTHS_PER_YEAR for name in names]
    under = ["" if count is None else f"\n{count:,}" for _, count in at_risk]
    first = (0.0, "0\nat risk" if any(under) else "0")
    ticks = [
        (age / DAYS_PER_YEAR, f"{name}{below}")
        for (age, _), name, below in zip(at_risk, names, under, strict=True)
    ]
    return Scale(0.0, end / DAYS_PER_YEAR, [first, *ticks]), "age in months" if months else "age in years"
