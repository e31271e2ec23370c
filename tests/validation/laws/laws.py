"""The laws: how a fleet may be changed, and what has to become of every number."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Callable

    from validation.laws.said import Groups, Life, Number

UNIT = 3.0  # a day is so many of the other unit of time: whole, so that ages stay exact
LATER = 200.0  # days


@dataclass(frozen=True, slots=True)
class Law:
    """A change of the fleet, the unit that ages have after it, and the factor on a number (None: no rule says)."""

    name: str
    meaning: str
    changed: Callable[[Groups], Groups]
    factor: Callable[[Number], float | None]
    unit: float = 1.0


def _same(_: Number) -> float | None:
    return 1.0


def _each(groups: Groups, change: Callable[[Life], list[Life]]) -> Groups:
    return [[part for life in group for part in change(life)] for group in groups]


def _cut(life: Life) -> list[Life]:
    """Two lives with nothing between them; one of a single day cannot be cut."""
    entry, exit_, outcome = life
    middle = entry + (exit_ - entry) // 2
    return [life] if middle == entry else [(middle, exit_, outcome), (entry, middle, "interrupted")]


LAWS = (
    Law(
        "drives",
        "any order gives the same",
        lambda groups: [group[::-1] for group in groups],
        _same,
    ),
    Law("groups", "any order gives the same", lambda groups: groups[::-1], _same),
    Law(
        "cut",
        "as two lives with nothing between them it gives the same",
        lambda groups: _each(groups, _cut),
        _same,
    ),
    Law(
        "later",
        "every drive by as many days, and nothing changes",
        lambda groups: _each(groups, lambda life: [(life[0] + LATER, life[1] + LATER, life[2])]),
        _same,
    ),
    Law(
        "unit",
        "another one changes rates and ages by that unit, and nothing else",
        lambda groups: _each(groups, lambda life: [(UNIT * life[0], UNIT * life[1], life[2])]),
        lambda number: UNIT**number.time,
        UNIT,
    ),
    Law(
        "twice",
        "the same estimate, and an error smaller by the root of 2",
        lambda groups: [[*group, *group] for group in groups],
        lambda number: number.twice,
    ),
)
