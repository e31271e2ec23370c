"""Plants absences: bridged and cutting, before a failure, before the end, and for good."""

from __future__ import annotations

from dataclasses import replace
from functools import partial

from demo_fleet.chance import between, stream
from demo_fleet.days import FLOOD, LAST, MOVE, OUTAGES, is_silent, next_open, number
from demo_fleet.drive import Absence, Drive, LogEntry, Move
from demo_fleet.plan import MODELS
from demo_fleet.pool import Pool, fails_late, serves

UNSEEN = (7, 7, 7, 5)  # 7 collected days or fewer: no finding
BRIDGED = (8, 8, 12, 15, 19, 21, 25, 29, 30, 30)  # up to 30: the life goes on
CUTTING = (31, 31, 38, 45, 60, 120, 200)  # 31 or more: the life ends, another begins
BEFORE_FLAG = (9, 14, 25, 50)  # then the failure is flagged
QUIET_TAIL = 30  # days without a report at the end of the data: still in service
GONE_TAIL = 31  # one more: vanished


def clear_start(site: str, length: int, chance_name: str) -> int:
    """Draw the first day of an absence that meets no outage, so that its days are collected days."""
    chance = stream(f"absence {chance_name}")
    while True:
        first = between(chance, number(2025, 2, 20), LAST - length - 40)
        if not any(is_silent(site, day) for day in range(first - 1, first + length + 1)):
            return first


def plant_gaps(pool: Pool) -> None:
    """Plant absences in the middle of a service."""
    lengths = UNSEEN + BRIDGED + CUTTING
    long_here = pool.take("gaps", len(lengths), lambda drive: serves(drive, 600))
    for drive, length in zip(long_here, lengths, strict=True):
        first = clear_start(drive.site, length, drive.serial)
        away = Absence(first, first + length - 1, "interrupted" if length in CUTTING else "")
        pool.put(replace(drive, absences=(away,), findings=() if length in UNSEEN else (("gap", 1),)))
    # 33 days away, 7 of them in the flood: 26 collected days, so the absence is bridged
    for drive in pool.take("flood", 1, lambda drive: serves(drive, 800) and drive.site == "mill-loft"):
        away = Absence(FLOOD.start - 13, FLOOD.stop + 12)
        pool.put(replace(drive, absences=(away,), findings=(("gap", 1),)))


def plant_late_flags(pool: Pool) -> None:
    """Plant absences that end with the flag of a failure."""
    cases = pool.take("late flags", len(BEFORE_FLAG), lambda drive: _free_before(drive, 60))
    for drive, length in zip(cases, BEFORE_FLAG, strict=True):
        cuts = length >= min(CUTTING)
        away = Absence(drive.last - length, drive.last - 1, "interrupted" if cuts else "")
        pool.put(replace(drive, absences=(away,), findings=(("gap", 1), ("late_flag", 1))))


def _free_before(drive: Drive, days: int) -> bool:
    outages = OUTAGES[drive.site]
    near = range(drive.last - days, drive.last)
    return fails_late(drive) and not any(outage.start in near or outage[-1] in near for outage in outages)


def plant_ends(pool: Pool) -> None:
    """Plant drives that stop reporting without a word, and one that is only quiet."""
    for model in MODELS:
        purpose = f"vanished {model.key}"
        chance = stream(purpose)
        for drive in pool.take(purpose, model.vanished, partial(_serves_as, model.key)):
            last = between(chance, drive.first + 120, LAST - 60)
            _vanish(pool, drive, next_open(drive.site, last))
    (gone,) = pool.take("gone", 1, lambda drive: serves(drive) and drive.model == "D12")
    _vanish(pool, gone, LAST - GONE_TAIL)
    for drive in pool.take("quiet", 2, serves):
        pool.put(replace(drive, last=LAST - QUIET_TAIL))


def _serves_as(model: str, drive: Drive) -> bool:
    return serves(drive) and drive.model == model


def _vanish(pool: Pool, drive: Drive, last: int) -> None:
    pool.put(replace(drive, last=last, end="vanished", findings=(("vanished", 1),)))


def plant_moves(pool: Pool) -> None:
    """Carry rack M2 to pier-house, with entries in the log; three days without a report in between."""

    def carried(drive: Drive) -> bool:
        return drive.model == "K8" and drive.rack == "M2" and serves(drive)

    for drive in pool.take("move", 30, carried):
        moved = Move(MOVE + 3, "pier-house", "P5", logged=MOVE + 1)
        pool.put(replace(drive, move=moved, absences=(Absence(MOVE, MOVE + 2),)))
        pool.log.append(LogEntry(drive.serial, moved.logged, "moved", reason="rack M2 carried to the pier"))
    # seen at both sites on the day of the move: counted once, for the alphabetically first
    for drive in pool.take("two sites", 4, carried):
        pool.put(_twice(drive, (("duplicate", 1), ("two_sites", 1))))
        pool.log.append(LogEntry(drive.serial, MOVE, "moved", reason="rack M2 carried to the pier"))
    for drive in pool.take(
        "two sources", 2, lambda d: serves(d) and d.site == "lantern-hill" and d.model == "K12"
    ):
        pool.put(_twice(drive, (("duplicate_across_files", 1), ("two_sites", 1))))
        pool.log.append(LogEntry(drive.serial, MOVE, "moved"))


def _twice(drive: Drive, findings: tuple[tuple[str, int], ...]) -> Drive:
    return replace(drive, move=Move(MOVE + 1, "pier-house", "P5", logged=MOVE), findings=findings)


def plant_endings(pool: Pool) -> None:
    """Plant reports after the failure, and a return from retirement."""
    for days in (1, 3, 6, 10, 13):
        (drive,) = pool.take(f"ghost {days}", 1, partial(_room_after, days))
        pool.put(replace(drive, ghosts=days, findings=(("seen_after_failure", days),)))
    for days in (14, 60):
        (drive,) = pool.take(f"back {days}", 1, partial(_room_after, days))
        pool.put(replace(drive, ghosts=days, findings=(("reappeared", days),)))
    (drive,) = pool.take("back for good", 1, lambda d: d.last > FLOOD.stop and _room_after(150, d))
    ghosts = LAST - drive.last
    pool.put(replace(drive, ghosts=ghosts, findings=(("reappeared", ghosts),)))
    for drive in pool.take("second life", 1, lambda d: serves(d, 700)):
        first = clear_start(drive.site, 70, drive.serial)
        pool.put(replace(drive, absences=(Absence(first, first + 69, "retired"),), findings=(("gap", 1),)))
        entry = LogEntry(drive.serial, first + 2, "retired", reason="spare, put on the shelf")
        pool.log.append(entry)


def _room_after(days: int, drive: Drive) -> bool:
    after = range(drive.last, drive.last + days + 1)
    return fails_late(drive) and after[-1] <= LAST and not any(is_silent(drive.site, day) for day in after)
