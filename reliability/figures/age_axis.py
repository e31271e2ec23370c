"""The axis of ages from 0 on, in years or, for young fleets, in months, with numbers at risk under it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from reliability.figures.inks import INK
from reliability.units import DAYS_PER_YEAR

if TYPE_CHECKING:
    from collections.abc import Sequence

    from matplotlib.axes import Axes

_MONTHS_PER_YEAR = 12


def age_axis(axes: Axes, until: float | None, at_risk: Sequence[tuple[int, int | None]]) -> None:
    """Lay out the axis from age 0 to `until`, in days, with a tick at each age in `at_risk`.

    at_risk  ages in days, and the number to write under each; None: no number
    """
    end = until or DAYS_PER_YEAR
    months = end < DAYS_PER_YEAR
    axes.set_xlim(0, end / DAYS_PER_YEAR)
    names = [round(age * _MONTHS_PER_YEAR / DAYS_PER_YEAR) for age, _ in at_risk]
    names = names if months else [name // _MONTHS_PER_YEAR for name in names]
    under = ["" if count is None else f"\n{count:,}" for _, count in at_risk]
    numbered = any(under)
    ticks = [0.0, *(age / DAYS_PER_YEAR for age, _ in at_risk)]
    labels = ["0\nat risk" if numbered else "0", *(f"{a}{b}" for a, b in zip(names, under, strict=True))]
    axes.set_xticks(ticks, labels, parse_math=False)
    axes.set_xlabel("age in months" if months else "age in years", color=INK)
