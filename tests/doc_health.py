"""A second small fleet of the documents: half a year of 60 drives that tell their health, under our own column names.

No chance is in it. Every fourth drive finds a bad sector, and two in five of these fail within a month or so; every
fifth runs hot from March on; the Marls work beyond what they are rated for.
"""

from __future__ import annotations

from datetime import date, timedelta
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

FIRST, DAYS, DRIVES = date(2026, 1, 1), 181, 60
HEADER = (
    "date,serial,model,failed,power_on_hours,temperature_c,bytes_written,bytes_read,"
    "reallocated_sectors,interface_crc_errors"
)
WARMING = 59  # the first of March
WARNED_FAILURES = {4: 12, 8: 31, 20: 9, 28: 44, 32: 18, 48: 3}  # drive: days from its first bad sector
FAILURES = {5: 70, 9: 15, 21: 120, 25: 90, 33: 160, 47: 40, 58: 150}  # drive: its last day
RATINGS = """\
[[datasheet]]
model = "TARN T18"
mtbf_hours = 2_500_000
rated_workload_tb_per_year = 180
operating_temperature_c = [5, 40]

[[datasheet]]
model = "Marl M6"
afr_percent = 1.2
rated_workload_tb_per_year = 55
operating_temperature_c = [5, 40]
"""


def write_health(folder: Path) -> None:
    """Write the snapshots, a file in a folder of its own, and datasheets that rate their models."""
    (folder / "ratings.toml").write_text(RATINGS, encoding="utf-8")
    (folder / "health").mkdir()
    lines = [HEADER, *(line for day in range(DAYS) for line in readings(day))]
    (folder / "health" / "2026.csv").write_text("\n".join([*lines, ""]), encoding="utf-8")


def bad_sector(drive: int) -> int:
    """Give the day on which a drive finds its first bad sector; one beyond the last if it finds none."""
    return 7 + 2 * drive if drive % 4 == 0 else DAYS


def last_day(drive: int) -> int:
    if drive in WARNED_FAILURES:
        return bad_sector(drive) + WARNED_FAILURES[drive]
    return FAILURES.get(drive, DAYS)


def readings(day: int) -> Iterator[str]:
    for drive in range(1, DRIVES + 1):
        if day > last_day(drive):
            continue
        model, daily = ("Marl M6", 300) if drive // 4 % 2 else ("TARN T18", 400)  # GB written and read a day
        warm = 44 if drive % 5 == 0 and day >= WARMING else 33
        cells = (
            f"{FIRST + timedelta(days=day)}",
            f"H{drive:02}",
            model,
            "true" if day == last_day(drive) else "false",
            f"{24 * (40 * (drive % 9) + day) + 12}",
            f"{warm}",
            f"{day * daily * 10**9 // 3}",
            f"{2 * day * daily * 10**9 // 3}",
            f"{8 * (day - bad_sector(drive) + 1) if day >= bad_sector(drive) else 0}",
            f"{1 if drive == 7 and day > WARMING else 0}",
        )
        yield ",".join(cells)
