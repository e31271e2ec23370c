"""Drive-days and failures by cell, and what no cell could hold."""

from __future__ import annotations

from dataclasses import dataclass, field
from itertools import pairwise
from typing import TYPE_CHECKING

from reliability.errors import QuestionError
from reliability.quarter import Quarter
from reliability.rate import Rate

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from datetime import date

    import pandas as pd

    from reliability.loaders.engine import Engine

BAND_ENDS = (91, 365, 730, 1095, 1460, 1825, 2555)  # whole days: floor(365 x years)
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


def groupings_of(by: str | Sequence[str]) -> tuple[str, ...]:
    """The groupings asked for, one or several. Raises QuestionError for one that there is not."""
    asked = (by,) if isinstance(by, str) else tuple(by)
    unknown = [name for name in asked if name not in GROUPINGS]
    if unknown:
        raise QuestionError(f"There is no grouping {unknown[0]!r}; group by any of {', '.join(GROUPINGS)}.")
    return asked


def exposure(engine: Engine, by: Sequence[str], first_day: date | None, last_day: date | None) -> Exposure:
    """Count a window of days by cell, where the engine has the view `whereabouts`.

    Without a first or last day the window is open on that side.
    """
    _hold_periods(engine, first_day, last_day, by_quarter="quarter" in by)
    engine.make("spans", "questions/spans")
    totals = engine.ask("questions/total")[0]
    if "age" in by:
        engine.hold("bands", "from_days int, to_days int", list(pairwise((0, *BAND_ENDS, None))))
        engine.make("aged_spans", "questions/aged_spans")
    engine.rename("aged_spans" if "age" in by else "spans", "spans_to_count")
    engine.hold(
        "asked", ", ".join(f"{name} boolean" for name in GROUPINGS), [[name in by for name in GROUPINGS]]
    )
    return Exposure(
        tuple(by),
        tuple(sorted((_cell(row, by) for row in engine.ask("questions/cells")), key=_in_order)),
        Cell(*totals[:3]),
        left_out=Cell(*totals[3:]) if "age" in by else Cell(0, 0, 0),
    )


def _hold_periods(engine: Engine, first_day: date | None, last_day: date | None, *, by_quarter: bool) -> None:
    """The days of the window, in one piece or by quarter."""
    found = engine.ask("questions/span")[0]
    first, last = first_day or found[0], last_day or found[1]
    periods: list[tuple[str | None, date, date]] = [(None, first, last)]
    if by_quarter:
        quarters = [Quarter.of(max(first, found[0]))]
        while quarters[-1].last_day < min(last, found[1]):
            quarters.append(quarters[-1].next())
        periods = [(str(q), max(q.first_day, first), min(q.last_day, last)) for q in quarters]
    engine.hold("periods", "quarter string, first_day date, last_day date", periods)


def _cell(row: Sequence[object], by: Sequence[str]) -> Cell:
    """A row of the engine as a cell: seven labels, of which those asked for count, and three counts."""
    names = ("model", "quarter", "age_from_days", "age_to_days", "site", "rack", "batch")
    values = dict(zip(names, row, strict=False))
    wanted = [
        name for given in by for name in (("age_from_days", "age_to_days") if given == "age" else (given,))
    ]
    labels: dict[str, Label] = {name: values[name] for name in wanted}  # type: ignore[misc]  # text, whole number or null
    drives, drive_days, failures = row[len(names) :]
    return Cell(drives, drive_days, failures, labels)  # type: ignore[arg-type]  # whole numbers


def _in_order(cell: Cell) -> list[tuple[bool, int, str]]:
    """The place of a cell among others: by label, whole numbers by size, nulls last."""
    return [
        (value is None, value if isinstance(value, int) else 0, str(value)) for value in cell.labels.values()
    ]
