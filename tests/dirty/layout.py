"""Rows to files: one a day, a month, a quarter, or one; columns in any order, and now and then missing."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from slow.nouns import RawFile

if TYPE_CHECKING:
    import numpy as np

    from dirty.plans import FleetPlan
    from dirty.rows import Row

NEVER_MISSING = ("date", "serial", "model")
PERIODS = ("day", "month", "quarter", "one")


@dataclass(frozen=True, slots=True)
class Layout:
    """One file a period; rows and columns in any order; the chance that a file lacks a column."""

    period: str = "month"
    shuffled: bool = False
    coming_and_going: float = 0.0


def name_of_file(fleet: FleetPlan, day: int, period: str) -> str:
    """Name the file that a day goes into."""
    when = fleet.date(day)
    names = {
        "day": f"day-{when.isoformat()}.csv",
        "month": f"month-{when:%Y-%m}.csv",
        "quarter": f"quarter-{when.year}-{(when.month + 2) // 3}.csv",
        "one": "all.csv",
    }
    return names[period]


def lay_out(rng: np.random.Generator, fleet: FleetPlan, rows: list[Row], layout: Layout) -> list[RawFile]:
    """Put the rows into files. Rows that go elsewhere stand in a second file beside the first."""
    files: dict[str, list[Row]] = {}
    for row in sorted(rows, key=lambda row: row.day):
        name = name_of_file(fleet, row.day, layout.period)
        files.setdefault(f"again-{name}" if row.elsewhere else name, []).append(row)
    found = []
    for name, of_file in files.items():
        kept = {key for key in of_file[0].cells if rng.random() >= layout.coming_and_going}
        columns = [key for key in of_file[0].cells if key in kept or key in NEVER_MISSING]
        if layout.shuffled:
            rng.shuffle(columns)
            rng.shuffle(of_file)
        records = tuple(_record(row, columns) for row in of_file)
        found.append(RawFile(name, tuple(columns), records))
    return found


def _record(row: Row, columns: list[str]) -> tuple[str, ...]:
    cells = [row.cells[name] for name in columns]
    return tuple(cells[: row.surplus] if row.surplus < 0 else cells + ["0"] * row.surplus)
