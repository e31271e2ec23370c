"""Puts the fleet together: drawn, planted with faults, with its removal log and its extra rows."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from demo_fleet.absences import plant_endings, plant_ends, plant_gaps, plant_late_flags, plant_moves
from demo_fleet.chance import stream
from demo_fleet.counters import plant_ages, plant_hours
from demo_fleet.dirty_rows import ExtraRow, plant_rows
from demo_fleet.fleet import draw_fleet, with_short_absences
from demo_fleet.names import plant_relabelled, plant_strays
from demo_fleet.pool import Pool
from demo_fleet.removals import plant_odd_entries, plant_silent_failures, write_plain_entries

if TYPE_CHECKING:
    from demo_fleet.drive import Drive, LogEntry


@dataclass(frozen=True, slots=True)
class Planted:
    """All that the files are written from."""

    drives: tuple[Drive, ...]
    log: tuple[LogEntry, ...]
    extra_rows: tuple[ExtraRow, ...]


def plant() -> Planted:
    """Make the fleet with all its dirt."""
    pool = Pool(draw_fleet())
    plant_late_flags(pool)
    plant_endings(pool)
    plant_silent_failures(pool)
    plant_moves(pool)
    plant_relabelled(pool)
    plant_hours(pool)
    plant_ages(pool)
    plant_ends(pool)
    plant_gaps(pool)
    plant_odd_entries(pool)
    extra = plant_rows(pool)
    for serial in list(pool.clean):
        pool.put(with_short_absences(pool.drives[serial], stream(f"short absences {serial}")))
    plant_strays(pool)
    write_plain_entries(pool)
    drives = tuple(sorted(pool.drives.values(), key=lambda drive: (drive.serial, drive.first)))
    log = tuple(sorted(pool.log, key=lambda entry: (entry.day, entry.serial)))
    return Planted(drives, log, tuple(extra))
