"""Dirt in what happens to drives and sites. Lengths lie on the limits of the rules more often than not."""

from __future__ import annotations

from typing import TYPE_CHECKING

from slow.nouns import LogEntry

from dirty.plans import MODELS, SITES, DrivePlan, between, pick

if TYPE_CHECKING:
    import numpy as np

    from dirty.plans import FleetPlan

    Rng = np.random.Generator

SHORT, BRIDGED, CUTTING = (1, 2, 6, 7), (8, 20, 29, 30), (31, 32, 45)


def short_gap(rng: Rng, drive: DrivePlan, fleet: FleetPlan) -> None:
    """Be absent for a week at most."""
    _absent(rng, drive, pick(rng, SHORT), fleet)


def bridged_gap(rng: Rng, drive: DrivePlan, fleet: FleetPlan) -> None:
    """Be absent for a month at most."""
    _absent(rng, drive, pick(rng, BRIDGED), fleet)


def cutting_gap(rng: Rng, drive: DrivePlan, fleet: FleetPlan) -> None:
    """Be absent for longer."""
    _absent(rng, drive, pick(rng, CUTTING), fleet)


def vanish(rng: Rng, drive: DrivePlan, fleet: FleetPlan) -> None:
    """Stop without a word, on the limit of 30 days before the end or anywhere."""
    last = fleet.days - 1
    drive.left = max(drive.entered, pick(rng, (last - 29, last - 30, last - 31, between(rng, 0, last))))


def fail(rng: Rng, drive: DrivePlan, fleet: FleetPlan) -> None:
    """Fail with a flag."""
    drive.left = between(rng, drive.entered, fleet.days - 1)
    drive.flagged.add(drive.left)


def first_day_failure(_rng: Rng, drive: DrivePlan, _: FleetPlan) -> None:
    """Fail on the first day."""
    drive.left = drive.entered
    drive.flagged.add(drive.left)


def seen_after_failure(rng: Rng, drive: DrivePlan, fleet: FleetPlan) -> None:
    """Fail, report on for a while, sometimes with the flag up."""
    drive.left = between(rng, drive.entered, max(drive.entered, fleet.days - 30))
    drive.flagged.add(drive.left)
    for later in range(1, pick(rng, (1, 2, 12, 13, 14, 15, 29)) + 1):
        if rng.random() < 0.8:  # most days
            drive.after.add(drive.left + later)
            if rng.random() < 0.3:  # some
                drive.flagged.add(drive.left + later)
    drive.after = {day for day in drive.after if day < fleet.days}


def late_flag(rng: Rng, drive: DrivePlan, fleet: FleetPlan) -> None:
    """Fail unseen: the flag comes after an absence."""
    absence = pick(rng, (6, 7, 8, *BRIDGED, *CUTTING))
    drive.left = between(rng, min(drive.entered + absence + 1, fleet.days - 1), fleet.days - 1)
    drive.flagged.add(drive.left)
    drive.missing |= set(range(max(drive.left - absence, drive.entered), drive.left))


def flag_in_life(rng: Rng, drive: DrivePlan, _: FleetPlan) -> None:
    """Raise the flag in mid-life and go on reporting to the end."""
    drive.flagged.add(pick(rng, drive.days))


def model_changed(rng: Rng, drive: DrivePlan, fleet: FleetPlan) -> None:
    """Bring back the serial under another model, before the first is gone or after."""
    other = MODELS[(MODELS.index(drive.model) + 1) % len(MODELS)]
    start = between(rng, drive.entered, fleet.days - 1)
    fleet.drives.append(
        DrivePlan(drive.serial, other, start, fleet.days - 1, [(0, drive.site(start))], "r9", "b9", 5.0)
    )
    if rng.random() < 0.5:  # half of them
        drive.left = max(drive.entered, start - 1)


def move(rng: Rng, drive: DrivePlan, fleet: FleetPlan) -> None:
    """Move to another site, mostly during an absence, mostly with an entry in the log."""
    day = between(rng, drive.entered + 1, drive.left)
    absent = pick(rng, (0, 1, 5, 12))
    drive.missing |= set(range(day, min(day + absent, drive.left)))
    drive.site_from.append((day, pick(rng, SITES[:2])))
    drive.site_from.sort()
    if rng.random() < 0.8:  # mostly
        logged = max(0, day + between(rng, -3, absent + 2))
        drive.log.append(LogEntry(drive.serial, fleet.date(logged), "moved", drive.model))


def unnamed_site(_rng: Rng, drive: DrivePlan, _: FleetPlan) -> None:
    """Stand nowhere."""
    drive.site_from = [(0, "")]


def site_forgotten(rng: Rng, drive: DrivePlan, _: FleetPlan) -> None:
    """Leave out the site now and then."""
    for day in drive.days:
        if rng.random() < 0.1:  # now and then
            drive.odd(day, site="  ")


def groups_change(rng: Rng, drive: DrivePlan, _: FleetPlan) -> None:
    """Change the rack, and leave out the batch now and then."""
    for day in drive.days:
        drive.odd(day, rack=pick(rng, ("r1", "r2", "", " r3 ")), batch=pick(rng, ("b1", "", "")))


def _absent(rng: Rng, drive: DrivePlan, length: int, fleet: FleetPlan) -> None:
    """Take days away such that the absence, outages of the site apart, has the length."""
    start = between(rng, drive.entered + 1, max(drive.entered + 1, drive.left - length))
    left_to_take = length
    for day in range(start, drive.left):
        if left_to_take and not fleet.is_dark(drive, day):
            drive.missing.add(day)
            left_to_take -= 1
