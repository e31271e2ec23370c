"""Drive-days and failures, counted one day after the other (rules 3 and 13)."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence
    from datetime import date

    from slow.nouns import DayAtRisk

Label = str | int | None
AGE_BAND_ENDS = (91, 365, 730, 1095, 1460, 1825, 2555)  # whole days: floor(365 x years)


@dataclass(frozen=True, slots=True)
class Cell:
    """What one cell holds; `labels` pairs a name with its value, in the order asked for."""

    labels: tuple[tuple[str, Label], ...]
    drives: int
    drive_days: int
    failures: int


@dataclass(frozen=True, slots=True)
class Exposure:
    """The cells by their labels, what no cell could take, and all together."""

    cells: tuple[Cell, ...]
    left_out: Cell
    total: Cell


def exposure(
    days: Iterable[DayAtRisk],
    by: Sequence[str] = ("model",),
    first_day: date | None = None,
    last_day: date | None = None,
) -> Exposure:
    """Group the days at risk of a window (both ends included) by model, quarter, age, site, rack, batch."""
    groups: dict[tuple[tuple[str, Label], ...], list[DayAtRisk]] = {}
    left_out: list[DayAtRisk] = []
    total: list[DayAtRisk] = []
    for day in days:
        if (first_day and day.day < first_day) or (last_day and day.day > last_day):
            continue
        total.append(day)
        if "age" in by and day.age is None:
            left_out.append(day)
        else:
            labels = tuple(label for name in by for label in _labels(name, day))
            groups.setdefault(labels, []).append(day)
    cells = tuple(_cell(labels, groups[labels]) for labels in sorted(groups, key=_nulls_last))
    return Exposure(cells, _cell((), left_out), _cell((), total))


def _labels(name: str, day: DayAtRisk) -> list[tuple[str, Label]]:
    if name == "quarter":
        return [("quarter", f"{day.day.year}Q{(day.day.month + 2) // 3}")]
    if name == "age":
        low, high = age_band(day.age or 0)
        return [("age_from_days", low), ("age_to_days", high)]
    values = {"model": day.model, "site": day.site, "rack": day.rack, "batch": day.batch}
    return [(name, values[name])]


def age_band(age_at_end: int) -> tuple[int, int | None]:
    """Give the band (from, to] that holds the age at the end of a drive-day."""
    low = 0
    for high in AGE_BAND_ENDS:
        if low < age_at_end <= high:
            return low, high
        low = high
    return low, None


def _nulls_last(labels: tuple[tuple[str, Label], ...]) -> list[tuple[bool, str, int]]:
    return [
        (value is None, value if isinstance(value, str) else "", value if isinstance(value, int) else 0)
        for _, value in labels
    ]


def _cell(labels: tuple[tuple[str, Label], ...], days: Sequence[DayAtRisk]) -> Cell:
    drives = {(day.serial, day.model) for day in days}
    return Cell(labels, len(drives), len(days), sum(day.failed for day in days))
