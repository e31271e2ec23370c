"""Drive-days and failures by cell, and what no cell could hold."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from reliability.rate import Rate

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    import pandas as pd

GROUPINGS = ("model", "quarter", "age", "site", "rack", "batch")
Label = str | int | None


@dataclass(frozen=True, slots=True)
class Cell:
    """What was counted under some labels.

    A drive counts once in a cell, so `drives` of cells need not add up.
    """

    drives: int
    drive_days: int
    failures: int
    labels: Mapping[str, Label] = field(default_factory=dict)

    @property
    def rate(self) -> Rate:
        """Failures per drive-year, with what it was made from."""
        return Rate(self.failures, self.drive_days)


@dataclass(frozen=True, slots=True)
class Exposure:
    """Cells, their total, and what was left out of them because its age is not known.

    The total includes it.
    """

    by: tuple[str, ...]
    cells: tuple[Cell, ...]
    total: Cell
    left_out: Cell

    def to_frame(self) -> pd.DataFrame:
        """A row a cell.

        Its labels, drives, drive_days, failures, the rate per drive-year and its exact 95 % limits.
        """
        import pandas as pd  # noqa: PLC0415  (a frame is loaded only where people look at one)

        rows = []
        for cell in self.cells:
            limits = cell.rate.interval()
            counts = {
                "drives": cell.drives,
                "drive_days": cell.drive_days,
                "drive_years": cell.rate.drive_years,
            }
            rates = {
                "failures": cell.failures,
                "afr": cell.rate.per_year,
                "afr_low": limits.low,
                "afr_high": limits.high,
            }
            rows.append({**cell.labels, **counts, **rates})
        return pd.DataFrame(rows)

    def __str__(self) -> str:
        """One line: the total."""
        return f"{len(self.cells)} cells by {', '.join(self.by) or 'nothing'}; in total {self.total.rate}"


def cell_of(row: Sequence[object], by: Sequence[str]) -> Cell:
    """A row of the engine as a cell: seven labels, of which those asked for count, and three counts."""
    names = ("model", "quarter", "age_from_days", "age_to_days", "site", "rack", "batch")
    values = dict(zip(names, row, strict=False))
    wanted = [
        name for given in by for name in (("age_from_days", "age_to_days") if given == "age" else (given,))
    ]
    labels: dict[str, Label] = {name: values[name] for name in wanted}  # type: ignore[misc]  # text, whole number or null
    drives, drive_days, failures = row[len(names) :]
    return Cell(drives, drive_days, failures, labels)  # type: ignore[arg-type]  # whole numbers


def in_order(cell: Cell) -> list[tuple[bool, int, str]]:
    """The place of a cell among others: by label, whole numbers by size, nulls last."""
    return [
        (value is None, value if isinstance(value, int) else 0, str(value)) for value in cell.labels.values()
    ]
