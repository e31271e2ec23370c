"""Models by quarter and models by age band: a row for each model, an estimate for each column."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Generic, TypeVar

from reliability.quarter import Quarter
from reliability.rate import Rate
from reliability.units import DAYS_PER_YEAR

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Mapping, Sequence

    from reliability.interval import Interval
    from reliability.loaders.exposure import Cell


_MONTHS_PER_YEAR = 12


@dataclass(frozen=True, order=True, slots=True)
class AgeBand:
    """Ages in whole days from the first up to the end, which is not in it; None: it has no end.

    >>> [AgeBand(*ends).name for ends in ((0, 91), (91, 365), (365, 730), (2555, None))]
    ['under 3 months', '3 to 12 months', '1 to 2 years', 'over 7 years']
    """

    from_days: int
    to_days: int | None

    @property
    def name(self) -> str:
        """The band in words, in months within the first year."""
        start = round(self.from_days * _MONTHS_PER_YEAR / DAYS_PER_YEAR)
        if self.to_days is None:
            return f"over {start // _MONTHS_PER_YEAR} years"
        end = round(self.to_days * _MONTHS_PER_YEAR / DAYS_PER_YEAR)
        unit, size = ("months", 1) if end <= _MONTHS_PER_YEAR else ("years", _MONTHS_PER_YEAR)
        return f"{start // size} to {end // size} {unit}" if start else f"under {end // size} {unit}"


@dataclass(frozen=True, slots=True)
class Estimate:
    """What was seen in one cell; without exposure the rate is None and its limits are (0, infinity)."""

    drives: int
    rate: Rate
    interval: Interval


@dataclass(frozen=True, slots=True)
class GridRow:
    """One model across the columns of its grid."""

    model: str
    stated: float | None  # failures per drive-year; None without a datasheet
    estimates: tuple[Estimate, ...]


Column = TypeVar("Column", Quarter, AgeBand)


@dataclass(frozen=True, slots=True)
class Grid(Generic[Column]):
    """The estimates of every row stand in the order of the columns."""

    columns: tuple[Column, ...]
    rows: tuple[GridRow, ...]


def quarters_up_to(last: Quarter, first: Quarter, most: int) -> tuple[Quarter, ...]:
    """Name the last quarters, oldest first, none before the first one.

    >>> [str(quarter) for quarter in quarters_up_to(Quarter(2026, 2), Quarter(2025, 1), 3)]
    ['2025Q4', '2026Q1', '2026Q2']
    """
    found = [last]
    while len(found) < most and found[0] > first:
        found.insert(0, found[0].previous())
    return tuple(found)


def by_quarter(
    cells: Iterable[Cell], quarters: Sequence[Quarter], stated: Mapping[str, float | None], level: float
) -> Grid[Quarter]:
    """Lay out cells by model and quarter; rows in the order of `stated`, models without exposure left out."""
    return _grid(
        cells, tuple(quarters), lambda cell: Quarter.parse(str(cell.labels["quarter"])), stated, level
    )


def by_age(cells: Iterable[Cell], stated: Mapping[str, float | None], level: float) -> Grid[AgeBand]:
    """Lay out cells by model and age band; a column for each band that any model has lived in."""
    cells = tuple(cells)
    bands = tuple(sorted({_band(cell) for cell in cells}, key=lambda band: band.from_days))
    return _grid(cells, bands, _band, stated, level)


def _band(cell: Cell) -> AgeBand:
    start, end = cell.labels["age_from_days"], cell.labels["age_to_days"]
    return AgeBand(int(start or 0), None if end is None else int(end))


def _grid(
    cells: Iterable[Cell],
    columns: tuple[Column, ...],
    column_of: Callable[[Cell], Column],
    stated: Mapping[str, float | None],
    level: float,
) -> Grid[Column]:
    found: dict[str, dict[Column, Cell]] = {}
    for cell in cells:
        found.setdefault(str(cell.labels["model"]), {})[column_of(cell)] = cell
    rows = []
    for model in (model for model in stated if model in found):
        met = (found[model].get(column) for column in columns)
        rows.append(GridRow(model, stated[model], tuple(_estimate(cell, level) for cell in met)))
    return Grid(columns, tuple(rows))


def _estimate(cell: Cell | None, level: float) -> Estimate:
    rate = Rate(0, 0) if cell is None else cell.rate
    return Estimate(0 if cell is None else cell.drives, rate, rate.interval(level))
