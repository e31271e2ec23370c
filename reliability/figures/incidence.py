"""Figure: what became of the drives by age, each way to leave laid on top of the others."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from reliability.curve import share
from reliability.figures.age_axis import age_axis
from reliability.figures.panel import Area, Beside, Panel, Scale
from reliability.scales import round_steps, steps_to_draw
from reliability.units import DAYS_PER_YEAR

if TYPE_CHECKING:
    from collections.abc import Sequence

    from reliability.survival.cumulative_incidence import CumulativeIncidence

WAYS = (("failed", 0.85), ("retired", 0.42), ("vanished", 0.16))  # from the bottom up, with its opacity
_LEAST_GAP = 0.15  # between two names, as a part of the height
_MARGIN = 1.15
_TICKS = 5


def incidence_by_age(shares: CumulativeIncidence, ages: Sequence[int] = ()) -> Panel:
    """One model's shares of drives that have failed, been retired or vanished by each age, as stairs in a stack.

    ages  in days, at which the axis has ticks

    Beside the stack stand the names with the shares at the last age shown.
    """
    across, label = age_axis(shares.until_age, [(age, None) for age in ages])
    areas = _stack(shares)
    top = min(areas[-1].high[-1] * _MARGIN or 1.0, 1.0) if areas else 1.0
    ticks = [(part, f"{100 * part:.6g} %") for part in round_steps(0.0, top, most=_TICKS)]
    return Panel(across, Scale(0.0, top, ticks), (*areas, *_names(areas, top)), label)


def _stack(shares: CumulativeIncidence) -> list[Area]:
    """The ways to leave, from the bottom up, ages in years."""
    if shares.from_age is None or shares.until_age is None:
        return []
    seen = steps_to_draw(shares.ages[shares.ages <= shares.until_age].tolist())
    edges = np.concatenate(([shares.from_age], shares.ages[seen], [shares.until_age])) / DAYS_PER_YEAR
    x = np.repeat(edges, 2)[1:-1]
    below, areas = np.zeros(x.size), []
    for name, opacity in WAYS:
        above = below + np.repeat(np.concatenate(([0.0], getattr(shares, name)[seen])), 2)
        areas.append(Area(name, x.tolist(), below.tolist(), above.tolist(), opacity))
        below = above
    return areas


def _names(areas: Sequence[Area], top: float) -> list[Beside]:
    """A name beside each area, with its share at the end."""
    middles = _apart([(area.low[-1] + area.high[-1]) / 2 / top for area in areas])
    return [
        Beside(
            f"{area.name}, key", height, area.opacity, f"{area.name} {share(area.high[-1] - area.low[-1])} %"
        )
        for area, height in zip(areas, middles, strict=True)
    ]


def _apart(places: Sequence[float]) -> list[float]:
    """Heights in rising order, moved up as far as it takes that no two names meet."""
    moved: list[float] = []
    for place in places:
        moved.append(max(place, moved[-1] + _LEAST_GAP) if moved else max(place, 0.04))
    return moved
