"""Writes the removal log: every retirement, most failures, and entries that fit nothing."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from demo_fleet.chance import below, stream
from demo_fleet.days import LAST
from demo_fleet.drive import LogEntry
from demo_fleet.plan import BY_KEY
from demo_fleet.pool import serves

if TYPE_CHECKING:
    from demo_fleet.drive import Drive
    from demo_fleet.pool import Pool

LOGGED_FAILURES = 0.7  # share of flagged failures that the log knows too
SILENT_FAILURES = 10  # percent of failures that only the log knows
PLANNED = ("disk too small", "rack cleared", "lent to the observatory")
WARNING = "bad sectors"
WARNED = 4  # one retirement in so many was for a warning sign


def plant_silent_failures(pool: Pool) -> None:
    """Let some failures go without a flag in the rows: the log alone tells."""
    failures = sum(drive.end == "failed" for drive in pool.drives.values())
    count = failures * SILENT_FAILURES // 100
    for drive in pool.take("silent failures", count, lambda d: d.end == "failed" and d.last <= LAST - 6):
        pool.put(replace(drive, told_by="log"))


def plant_odd_entries(pool: Pool) -> None:
    """Add log entries that come late, come too early, name nobody, or say what the rows deny."""
    for late, outcome in ((45, "retired"), (38, "failed"), (33, "retired")):
        (drive,) = pool.take(f"late log {late}", 1, lambda d: serves(d, 700))
        last = drive.first + 600
        ended = replace(drive, last=last, end="failed" if outcome == "failed" else "retired", told_by="log")
        pool.put(replace(ended, findings=(("late_log", 1),)))
        pool.log.append(LogEntry(drive.serial, last + late, outcome, reason="found when the log was tidied"))
    for days, outcome in ((300, "retired"), (120, "failed"), (5, "retired")):
        (drive,) = pool.take(f"still here {days}", 1, lambda d: serves(d, 700))
        pool.put(replace(drive, findings=(("seen_after_removal", 1),)))
        pool.log.append(LogEntry(drive.serial, drive.last - days, outcome))
    (drive,) = pool.take("before it came", 1, lambda d: serves(d) and d.first > 0)
    pool.put(replace(drive, findings=(("seen_after_removal", 1),)))
    pool.log.append(LogEntry(drive.serial, drive.first - 20, "retired"))
    (drive,) = pool.take("yet to come", 1, lambda d: serves(d, 700))
    pool.log.append(LogEntry(drive.serial, LAST + 5, "retired", reason="planned"))
    for serial in ("K8-7777", "ZZ-0001", "D6-0012X"):
        pool.log.append(LogEntry(serial, LAST - 200, "failed"))


def write_plain_entries(pool: Pool) -> None:
    """Add the entries that the log would hold without any fault."""
    known = {entry.serial for entry in pool.log if entry.outcome != "moved"}
    for serial in sorted(pool.drives):
        drive = pool.drives[serial]
        if drive.serial in known or drive.model not in BY_KEY:
            continue
        entry = _plain_entry(drive)
        if entry:
            pool.log.append(entry)
    flagged = next(entry for entry in pool.log if entry.reason == "flagged by the collector")
    pool.log.append(flagged)  # the same line twice is one entry


def _plain_entry(drive: Drive) -> LogEntry | None:
    chance = stream(f"log {drive.serial}")
    delay = below(chance, 6)
    day = min(drive.last + delay, LAST)
    model = BY_KEY[drive.model].name if chance.random() < 0.5 else ""  # noqa: PLR2004  (a coin)
    if drive.end == "retired":
        warned = below(chance, WARNED) == 0
        reason = WARNING if warned else PLANNED[below(chance, len(PLANNED))]
        return LogEntry(drive.serial, day, "retired", model, reason)
    if drive.end == "failed" and drive.told_by == "log":
        return LogEntry(drive.serial, day, "failed", model, "did not come up again")
    if drive.end == "failed" and drive.told_by == "rows" and chance.random() < LOGGED_FAILURES:
        # an entry `retired` does not undo a flag
        outcome = "retired" if below(chance, 20) == 0 else "failed"
        return LogEntry(drive.serial, day, outcome, model, "flagged by the collector")
    return None
