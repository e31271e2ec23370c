"""Plants faults of the hour counter, and draws what the counters of a drive show day by day."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from demo_fleet.chance import between, stream
from demo_fleet.days import number
from demo_fleet.pool import Pool, fails_late, serves

if TYPE_CHECKING:
    from demo_fleet.drive import Drive

JUMP = 5000
SAG = 30  # hours back, too few for a finding
LATE_START = 40  # days until a counter shows anything, then it starts from 0
BLANK_START = 5  # days of a blank or impossible value at first
IMPOSSIBLE = (None, -5, 999_999)
NEAR_MODULUS = 0.06  # a reset is kept clear of the values that would read as a wrap


def plant_hours(pool: Pool) -> None:
    """Plant faults of the hour counter."""
    middle = (number(2025, 2, 4), number(2026, 7, 24))

    def whole(drive: Drive) -> bool:
        return serves(drive, 900) and drive.site != "ferry-hut"

    for drive in pool.take("reset", 6, whole):
        chance = stream(f"reset {drive.serial}")
        day = between(chance, *middle)
        while _reads_as_wrap(drive, day):
            day = between(chance, *middle)
        pool.put(replace(drive, hours_fault=("reset", day), findings=(("hours_backwards", 1),)))
    for kind, count, findings in (("jump", 4, (("hours_jump", 1),)), ("sag", 3, ())):
        for drive in pool.take(kind, count, whole):
            day = between(stream(f"{kind} {drive.serial}"), *middle)
            pool.put(replace(drive, hours_fault=(kind, day), findings=findings))
    for modulus, count in ((2**14, 3), (2**15, 2)):

        def passes(drive: Drive, modulus: int = modulus) -> bool:
            wrap_day = drive.first + modulus // 24 - drive.age
            return whole(drive) and middle[0] < wrap_day < middle[1]

        for drive in pool.take(f"wrap {modulus}", count, passes):
            pool.put(replace(drive, hours_fault=("wrap", modulus), findings=(("hours_wrapped", 1),)))


def plant_ages(pool: Pool) -> None:
    """Plant counters that start late, start impossible, or never show anything."""
    for drive in pool.take("late start", 3, lambda d: serves(d) and d.age == 0 and d.first > 0):
        findings = (("hours_invalid", LATE_START), ("hours_short", 1))
        pool.put(replace(drive, hours_fault=("late start", 0), findings=findings))
    for position, drive in enumerate(pool.take("invalid", 6, serves)):
        fault = ("invalid", position % len(IMPOSSIBLE))
        pool.put(replace(drive, hours_fault=fault, findings=(("hours_invalid", BLANK_START),)))
    never = pool.take("unknown", 9, serves) + pool.take("unknown failed", 2, fails_late)
    for position, drive in enumerate(never):
        fault = ("unknown", position % len(IMPOSSIBLE))
        pool.put(replace(drive, hours_fault=fault, age_known=False, findings=(("age_unknown", 0),)))


def _reads_as_wrap(drive: Drive, day: int) -> bool:
    hours = 24 * (drive.age + day - drive.first)
    return any(abs(hours / 2**power - 1) < NEAR_MODULUS for power in (14, 15, 16, 17))


def hours_on(drive: Drive, days: list[int]) -> list[int | None]:
    """Return what the hour counter shows on each of the days.

    A drive of `a` whole days at the start of a day shows more than 24 a and at most 24 a + 24 hours on it; at
    which hour a drive is read differs from drive to drive.
    """
    reading = 1 + sum(map(ord, drive.serial)) % 23
    true = [24 * (drive.age + day - drive.first) + reading for day in days]
    if drive.hours_fault is None:
        return list(true)
    kind, what = drive.hours_fault
    return [_faulty(kind, what, hours, day, drive) for hours, day in zip(true, days, strict=True)]


def _faulty(kind: str, what: int, hours: int, day: int, drive: Drive) -> int | None:
    served = day - drive.first
    if kind == "wrap":
        return hours % what
    if kind == "unknown" or (kind == "invalid" and served < BLANK_START):
        return IMPOSSIBLE[what]
    if kind == "late start":
        return None if served < LATE_START else hours - 24 * LATE_START
    if kind == "invalid" or day < what:
        return hours
    return {"reset": (hours - 1) % 24 + 1 + 24 * (day - what), "jump": hours + JUMP, "sag": hours - SAG}[kind]


def health_of(drive: Drive) -> dict[str, tuple[tuple[int, int], ...]]:
    """Draw a drive's fault counters, as steps: from which day on a counter shows which value.

    About half of the failures announce themselves; one healthy drive in twenty shows something all the same.
    """
    chance = stream(f"health {drive.serial}")
    names = ("reallocated_sectors", "pending_sectors", "reported_uncorrectable")
    steps: dict[str, tuple[tuple[int, int], ...]] = {}
    warned = drive.end == "failed" and chance.random() < 0.5  # noqa: PLR2004  (the half of the sentence above)
    for name in names:
        share = 0.7 if warned else 0.02
        if chance.random() >= share:
            continue
        lead = between(chance, 2, 75)
        start = drive.last - lead if warned else between(chance, drive.first, drive.last)
        value, reached = 0, []
        for _ in range(between(chance, 1, 5 if warned else 2)):
            value += 8 * between(chance, 1, 12 if warned else 2)
            reached.append((max(start, drive.first), value))
            start += between(chance, 1, max(1, lead // 4))
        steps[name] = tuple(reached)
    if chance.random() < 0.03:  # noqa: PLR2004  (a loose cable has nothing to do with the drive)
        steps["interface_crc_errors"] = ((between(chance, drive.first, drive.last), between(chance, 1, 40)),)
    return steps
