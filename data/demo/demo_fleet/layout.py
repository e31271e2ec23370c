"""The files of the demonstration: which days, which columns, in which form."""

from __future__ import annotations

from dataclasses import dataclass

from demo_fleet.days import LAST, number

FIRST_COLUMNS = (
    "date",
    "power_on_hours",
    "serial",
    "model",
    "capacity_tb",
    "batch",
    "site",
    "failed",
    "temperature_c",
    "reallocated_sectors",
)
WITH_RACKS = (*FIRST_COLUMNS, "rack", "pending_sectors")
WITH_WORK = (*WITH_RACKS, "interface_crc_errors", "bytes_written", "bytes_read")
WITHOUT_CAPACITY = (*(name for name in WITH_WORK if name != "capacity_tb"), "reported_uncorrectable")

LANTERN_COLUMNS = {  # ours = theirs
    "date": "reading_day",
    "power_on_hours": "hours_run",
    "serial": "disk",
    "model": "kind",
    "capacity_tb": "size_gb",
    "batch": "lot",
    "site": "house",
    "rack": "shelf",
    "failed": "condition",
    "temperature_c": "celsius",
    "reallocated_sectors": "remapped",
    "firmware": "firmware",
}
LANTERN_2024 = tuple(name for name in LANTERN_COLUMNS if name != "reallocated_sectors")


@dataclass(frozen=True, slots=True)
class Piece:
    """One table of rows: a file of its own, or a member of an archive."""

    path: str  # below data/demo
    member: str  # the name inside the archive; empty outside of one
    first: int
    last: int
    columns: tuple[str, ...]

    @property
    def name(self) -> str:
        """The piece's name in the accounts."""
        return f"{self.path}/{self.member}" if self.member else self.path

    @property
    def of_lantern(self) -> bool:
        """Whether the piece comes from lantern-hill, which has names of its own."""
        return self.path.startswith("lantern/")


def _house_columns(year: int, month: int) -> tuple[str, ...]:
    if (year, month) <= (2024, 3):
        return FIRST_COLUMNS
    return {2024: WITH_RACKS, 2025: WITH_WORK, 2026: WITHOUT_CAPACITY}[year]


def pieces() -> tuple[Piece, ...]:
    """Return all tables: monthly CSV, then Parquet by quarter, and lantern-hill's yearly archives."""
    months = [
        (year, month) for year in (2024, 2025, 2026) for month in range(1, 13) if (year, month) <= (2026, 9)
    ]
    found = []
    for year, month in months:
        first = number(year, month, 1)
        if (year, month) <= (2024, 3):
            path, length = f"house/house-{year}-{month:02d}.csv.gz", 1
        elif month % 3 == 1:
            path, length = f"house/house-{year}Q{(month + 2) // 3}.parquet", 3
        else:
            path, length = "", 0
        if path:
            found.append(Piece(path, "", first, _end(year, month, length), _house_columns(year, month)))
        columns = LANTERN_2024 if year == 2024 else tuple(LANTERN_COLUMNS)  # noqa: PLR2004  (that year's dumps)
        archive, member = f"lantern/lantern-{year}.zip", f"readings_{month:02d}_{year}.csv"
        found.append(Piece(archive, member, first, _end(year, month, 1), columns))
    return tuple(found)


def _end(year: int, month: int, months: int) -> int:
    month += months
    last = number(year, month, 1) - 1 if month <= 12 else number(year + 1, month - 12, 1) - 1  # noqa: PLR2004
    return min(last, LAST)
