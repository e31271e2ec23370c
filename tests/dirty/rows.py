"""How days are written down as rows, with dirt in the rows."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from slow.nouns import FailureRule

from dirty.plans import SITES, pick

if TYPE_CHECKING:
    import numpy as np

    from dirty.plans import DrivePlan, FleetPlan

    Rng = np.random.Generator


@dataclass(slots=True)
class Row:
    """A row on its way into a file: the day it is filed under, its cells, and cells too many (or too few)."""

    day: int
    cells: dict[str, str]
    surplus: int = 0
    elsewhere: bool = False  # goes into another file


def write_rows(rng: Rng, fleet: FleetPlan, *, words: bool) -> list[Row]:
    """Write one row for each drive and day that was collected."""
    return [
        Row(day, _cells(rng, fleet, drive, day, words=words))
        for drive in fleet.drives
        for day in drive.days
        if not fleet.is_dark(drive, day)
    ]


def _cells(rng: Rng, fleet: FleetPlan, drive: DrivePlan, day: int, *, words: bool) -> dict[str, str]:
    failed = day in drive.flagged
    choice = ("true", "1", "YES", "t", "y") if failed else ("false", "0", "No", "f", "n", "", " ")
    return {
        "date": fleet.date(day).isoformat(),
        "serial": drive.serial,
        "model": drive.spelling or drive.model,
        "capacity_tb": "18",
        "failed": pick(rng, choice) if words else ("true" if failed else "false"),
        "power_on_hours": drive.hours(day),
        "temperature_c": str(20 + int(rng.integers(25))),
        "reallocated_sectors": "0",
        "site": drive.site(day),
        "rack": drive.rack,
        "batch": drive.batch,
        "remark": "",  # a column that nobody asked for
    } | drive.cells.get(day, {})


def duplicate(_rng: Rng, row: Row) -> list[Row]:
    """Write the row twice."""
    return [row, Row(row.day, dict(row.cells))]


def duplicate_in_conflict(rng: Rng, row: Row) -> list[Row]:
    """Write the row twice or thrice, with other hours, flag, site or groups."""
    again = [Row(row.day, dict(row.cells)) for _ in range(pick(rng, (1, 1, 2)))]
    for other in again:
        other.cells["power_on_hours"] = pick(rng, ("1", "400", "", "-5", "90000"))
        other.cells["failed"] = pick(rng, ("0", "0", "0", "1"))
        other.cells["site"] = pick(rng, (row.cells["site"], "", *SITES[:2]))
        other.cells["rack"] = pick(rng, ("r0", "", row.cells["rack"]))
    return [row, *again]


def across_files(rng: Rng, row: Row) -> list[Row]:
    """Write the row into another file too, sometimes with other hours."""
    other = Row(row.day, dict(row.cells), elsewhere=True)
    if rng.random() < 0.3:
        other.cells["power_on_hours"] = "7"
    return [row, other]


def two_sites(rng: Rng, row: Row) -> list[Row]:
    """Write the row at another site too."""
    return [row, Row(row.day, row.cells | {"site": pick(rng, SITES)}, elsewhere=bool(rng.random() < 0.5))]


def two_spellings(_rng: Rng, row: Row) -> list[Row]:
    """Write the row under another spelling too."""
    return [row, Row(row.day, row.cells | {"model": respell(row.cells["model"], 1)})]


def spelling(rng: Rng, row: Row) -> list[Row]:
    """Write the model in another way."""
    row.cells["model"] = respell(row.cells["model"], int(rng.integers(5)))
    return [row]


def respell(model: str, way: int) -> str:
    """Write a model in another way that folds to the same: case, width, runs of space, underscore, hyphen."""
    ways = (
        f"  {model} ",
        model.lower(),
        model.replace(" ", "_-"),
        model.replace(" ", "   "),
        model.replace("T", "\uff34").replace("U", "\uff35"),
    )
    return ways[way]


def state_instead_of_flag(rng: Rng, rows: list[Row]) -> FailureRule:
    """Tell failures by a state of the drive; what `failed` says no longer counts."""
    for row in rows:
        failed = row.cells["failed"].strip().casefold() in {"true", "1", "yes", "t", "y"}
        row.cells["state"] = pick(rng, ("dead", " pulled ") if failed else ("", "ok", "spare", "true"))
        row.cells["failed"] = pick(rng, ("", "true", "?"))
    return FailureRule("state", frozenset({"dead", "pulled"}))


FAULTS: dict[str, tuple[dict[str, str], ...]] = {
    "reject_serial": ({"serial": ""}, {"serial": "  "}, {"serial": "K\x07K"}),
    "reject_model": ({"model": ""}, {"model": "TARN\x1bT18"}),
    "reject_date": ({"date": ""}, {"date": "2024-02-30"}, {"date": "soon"}),
    "reject_ahead": ({"date": "2999-01-01"},),
    "reject_flag": ({"failed": "dead"}, {"failed": "2"}),
    "reject_number": ({"power_on_hours": "many"}, {"temperature_c": "warm"}, {"capacity_tb": "18 TB"}),
    "reject_infinite": ({"temperature_c": "inf"}, {"reallocated_sectors": "nan"}, {"capacity_tb": "1e999"}),
    "reject_twice": (
        {"serial": "", "date": ""},
        {"temperature_c": "?", "model": " "},
        {"failed": "?", "capacity_tb": "x"},
    ),
}


def with_fault(rng: Rng, row: Row, kind: str) -> list[Row]:
    """Write a row beside the good one that cannot be read."""
    return [row, Row(row.day, row.cells | pick(rng, FAULTS[kind]))]


def torn(rng: Rng, row: Row) -> list[Row]:
    """Write a row beside the good one that has too few cells or too many."""
    return [row, Row(row.day, dict(row.cells), surplus=pick(rng, (-1, -3, 1, 2)))]
