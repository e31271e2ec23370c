"""Plants rows that do not belong: repeated ones, and ones that no reader can use."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date
from typing import TYPE_CHECKING, Literal

from demo_fleet.days import MOVE, number
from demo_fleet.pool import serves
from demo_fleet.rows import columns_of

if TYPE_CHECKING:
    from demo_fleet.drive import Drive
    from demo_fleet.pool import Pool

Fate = Literal["kept", "duplicate", "rejected"]


@dataclass(frozen=True, slots=True)
class ExtraRow:
    """A row beside the plain ones: its cells by our names, or a whole line as it stands in a CSV."""

    piece: str
    fate: Fate
    cells: dict[str, object] | None = None
    line: str = ""


FEBRUARY, MARCH, SPRING = (
    "house/house-2024-02.csv.gz",
    "house/house-2024-03.csv.gz",
    "house/house-2025Q2.parquet",
)
WINTER, AUTUMN = "house/house-2025Q1.parquet", "house/house-2025Q4.parquet"
LANTERN_MARCH = "lantern/lantern-2025.zip/readings_03_2025.csv"

# The columns are those of layout.FIRST_COLUMNS and layout.LANTERN_COLUMNS.
BAD_LINES = (
    (FEBRUARY, "2024-02-30,4100,K8-0005,Tolmaw K8,8,K8-T1,pier-house,no,31,0"),  # no such day
    (FEBRUARY, "30/01/24,4100,K8-0005,Tolmaw K8,8,K8-T1,pier-house,no,31,0"),  # another way to write a day
    (FEBRUARY, ",4100,K8-0006,Tolmaw K8,8,K8-T1,pier-house,no,31,0"),  # no date
    (FEBRUARY, "2024-02-11,4100,,Tolmaw K8,8,K8-T1,pier-house,no,31,0"),  # no serial
    (FEBRUARY, "2024-02-11,4100,   ,Tolmaw K8,8,K8-T1,pier-house,no,31,0"),  # a serial of spaces
    (FEBRUARY, "2024-02-12,4124,K8-0007,,8,K8-T1,pier-house,no,31,0"),  # no model
    (FEBRUARY, "2204-02-12,4124,K8-0007,Tolmaw K8,8,K8-T1,pier-house,no,31,0"),  # a day to come
    (MARCH, "2024-03-07,fifty,K8-0008,Tolmaw K8,8,K8-T1,pier-house,0,31,0"),  # text for a number
    (MARCH, "2024-03-08,4700,K8-0008,Tolmaw K8,8,K8-T1,pier-house,perhaps,31,0"),  # no word for failed
    (MARCH, "2024-03-09,4724,K8-0008,Tolmaw K8,8,K8-T1,pier-house,0,31,0,7,7"),  # too many columns
    (MARCH, "2024-03-10,4748,K8-0008,Tolmaw K8"),  # too few columns
    (MARCH, "2024-03-31,52"),  # the dump broke off in its last line
    (LANTERN_MARCH, "31.02.2025;9000;D6-0212;PLN D6;6000;D6-A;lantern-hill;Höhe 1;sound;30;0;6.02"),
    (LANTERN_MARCH, "2025-03-04;9000;D6-0212;PLN D6;6000;D6-A;lantern-hill;Höhe 1;sound;30;0;6.02"),
    (LANTERN_MARCH, "05.03.2025;9000;;PLN D6;6000;D6-A;lantern-hill;Höhe 1;sound;30;0;6.02"),
    (LANTERN_MARCH, "06.03.2025;9000;D6-0212;PLN D6;6000;D6-A;lantern-hill;Höhe 1;sound;warm;0;6.02"),
)

OVERLAP = number(2024, 4, 1)
TWO_SPELLINGS = number(2025, 5, 20)


def cells_on(drive: Drive, day: int) -> dict[str, object]:
    """Return a drive's plain row of one day, by our names."""
    return {name: values[0] for name, values in columns_of(drive, [day]).items()}


def plant_rows(pool: Pool) -> list[ExtraRow]:
    """Plant extra rows; drives that they make a finding of are marked with it."""
    extra = [ExtraRow(piece, "rejected", line=line) for piece, line in BAD_LINES]
    extra += _unusable_cells(pool)
    extra += _repeated(pool)
    extra += _two_sites(pool)
    return extra


def _unusable_cells(pool: Pool) -> list[ExtraRow]:
    """Rows of a Parquet file, whose columns have types: only nothing and days to come can be wrong there."""
    plain = cells_on(pool.drives["K8-0130"], number(2024, 2, 1))
    nothing = [
        {**plain, "date": date(2025, 11, 4), name: None} for name in ("serial", "serial", "model", "date")
    ]
    later = [{**plain, "date": date(2205, 11, 4)}, {**plain, "date": date(2052, 11, 4)}]
    return [ExtraRow(AUTUMN, "rejected", cells) for cells in nothing + later]


def _repeated(pool: Pool) -> list[ExtraRow]:
    return [
        *_copies(pool, FEBRUARY, 12, number(2024, 2, 14)),
        *_copies(pool, MARCH, 6, number(2024, 3, 5), fewer_hours=24),
        *_copies(pool, SPRING, 10, number(2025, 5, 6)),
        *_flag_in_a_copy(pool),
        *_overlap(pool),
        *_two_spellings(pool),
    ]


def _copies(pool: Pool, piece: str, count: int, day: int, fewer_hours: int = 0) -> list[ExtraRow]:
    """Repeat rows in their file; where a copy shows fewer hours, the higher value counts."""
    extra = []
    for drive in pool.take(f"repeated {piece}", count, lambda d: _reports(d, day)):
        cells = cells_on(drive, day)
        hours = int(str(cells["power_on_hours"])) - fewer_hours
        extra.append(ExtraRow(piece, "duplicate", {**cells, "power_on_hours": hours}))
        pool.put(replace(drive, findings=(("duplicate", 1),)))
    return extra


def _flag_in_a_copy(pool: Pool) -> list[ExtraRow]:
    """Let only the second row of a day say that the drive failed; either row's flag counts."""
    (drive,) = pool.take("flag in a copy", 1, _fails_in_spring)
    pool.put(replace(drive, told_by="repeated row", findings=(("duplicate", 1),)))
    return [ExtraRow(SPRING, "duplicate", {**cells_on(drive, drive.last), "failed": True})]


def _overlap(pool: Pool) -> list[ExtraRow]:
    """Let the March dump run on past midnight, into a day that the next file holds as well."""
    extra = []
    for drive in pool.take("overlap", 60, lambda d: d.model == "K12" and _reports(d, OVERLAP)):
        extra.append(ExtraRow(MARCH, "kept", cells_on(drive, OVERLAP)))
        pool.put(replace(drive, findings=(("duplicate_across_files", 1),)))
    return extra


def _two_spellings(pool: Pool) -> list[ExtraRow]:
    """Let a drive report twice on a day, under two spellings of its model."""
    extra = []
    for drive in pool.take("two spellings", 3, lambda d: d.model == "D6" and _reports(d, TWO_SPELLINGS)):
        extra.append(ExtraRow(SPRING, "kept", {**cells_on(drive, TWO_SPELLINGS), "model": "pellarn_d6"}))
        pool.put(replace(drive, findings=(("duplicate", 1),)))
    return extra


def _two_sites(pool: Pool) -> list[ExtraRow]:
    extra = []
    for drive in pool.drives.values():
        if drive.move and ("two_sites", 1) in drive.findings:
            cells = {**cells_on(drive, MOVE), "site": drive.move.site, "rack": drive.move.rack}
            fate: Fate = "duplicate" if drive.site == "mill-loft" else "kept"
            extra.append(ExtraRow(WINTER, fate, cells))
    return extra


def _fails_in_spring(drive: Drive) -> bool:
    spring = range(number(2025, 4, 1), number(2025, 7, 1))
    return drive.end == "failed" and drive.last in spring and drive.site in {"pier-house", "mill-loft"}


def _reports(drive: Drive, day: int) -> bool:
    return (
        serves(drive)
        and drive.site in {"pier-house", "mill-loft"}
        and drive.first <= day
        and day in drive.reported_days()
    )
