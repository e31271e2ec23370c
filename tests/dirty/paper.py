"""Dirt in the removal log. Dates lie on the limits of the rules more often than not."""

from __future__ import annotations

from typing import TYPE_CHECKING

from slow.nouns import LogEntry

from dirty.plans import MODELS, DrivePlan, between, pick

if TYPE_CHECKING:
    import numpy as np

    from dirty.plans import FleetPlan

    Rng = np.random.Generator

REASONS = (None, "BAD  sectors, 40", "rack cleared", "flagged")
OFFSETS = (-31, -30, -3, -2, -1, 0, 0, 1, 5, 30, 31, 50)


def retired(rng: Rng, drive: DrivePlan, fleet: FleetPlan) -> None:
    """Be taken out, and logged at about that time."""
    drive.left = between(rng, drive.entered, fleet.days - 1)
    _entry(rng, drive, fleet, drive.left, "retired")


def failed_by_log(rng: Rng, drive: DrivePlan, fleet: FleetPlan) -> None:
    """Fail without a flag; the log says so."""
    drive.left = between(rng, drive.entered, fleet.days - 1)
    _entry(rng, drive, fleet, drive.left, "failed")


def logged_in_service(rng: Rng, drive: DrivePlan, fleet: FleetPlan) -> None:
    """Stand in the log about the time of the last report, or any day, though still there."""
    day = pick(rng, (drive.left, between(rng, 0, fleet.days - 1)))
    _entry(rng, drive, fleet, day, pick(rng, ("failed", "retired")))


def return_after_log(rng: Rng, drive: DrivePlan, fleet: FleetPlan) -> None:
    """Be logged, be absent for about a month, come back."""
    day = between(rng, drive.entered, drive.left)
    drive.missing |= set(range(day + 1, min(day + 1 + pick(rng, (10, 30, 31, 40)), drive.left)))
    _entry(rng, drive, fleet, day, pick(rng, ("failed", "retired")))


def logged_at_the_end(rng: Rng, drive: DrivePlan, fleet: FleetPlan) -> None:
    """Be there until the end or nearly, and stand in the log some days before."""
    drive.left = max(drive.entered, fleet.days - 1 - between(rng, 0, 2))
    day = fleet.date(drive.left - between(rng, 0, 7))
    drive.log.append(LogEntry(drive.serial, day, pick(rng, ("failed", "retired")), drive.model))


def flagged_and_logged(rng: Rng, drive: DrivePlan, fleet: FleetPlan) -> None:
    """Raise the flag in mid-life, go on to the end, and stand in the log some days before the flag."""
    day = pick(rng, drive.days)
    drive.flagged.add(day)
    entry = fleet.date(max(0, day - between(rng, 0, 20)))
    drive.log.append(LogEntry(drive.serial, entry, pick(rng, ("failed", "retired")), drive.model))


def short_second_life(rng: Rng, drive: DrivePlan, fleet: FleetPlan) -> None:
    """Come back for some days, with an entry in the log about half-way between the ends of both lives."""
    end = between(rng, drive.entered, max(drive.entered, drive.left - 42))
    drive.left = min(end + 40, fleet.days - 1)
    drive.missing |= set(range(end + 1, end + 36))
    for outcome in ("retired", pick(rng, ("failed", "retired"))):
        day = fleet.date(end + pick(rng, (1, 19, 20, 20, 21, 38)))
        drive.log.append(LogEntry(drive.serial, day, outcome, drive.model))


def several_entries(rng: Rng, drive: DrivePlan, fleet: FleetPlan) -> None:
    """Be logged several times, also word for word."""
    day = drive.left = between(rng, drive.entered, drive.left)
    for _ in range(between(rng, 2, 3)):
        _entry(rng, drive, fleet, day, pick(rng, ("failed", "retired", "retired")))
    drive.log.append(drive.log[-1])


def logged_ahead(rng: Rng, drive: DrivePlan, fleet: FleetPlan) -> None:
    """Be logged for a day that no data has reached."""
    day = fleet.date(fleet.days - 1 + between(rng, 1, 20))
    drive.log.append(LogEntry(drive.serial, day, pick(rng, ("failed", "retired")), drive.model))


def model_not_named(_rng: Rng, drive: DrivePlan, fleet: FleetPlan) -> None:
    """Leave the model out of the log, under a serial that two models share."""
    other = MODELS[(MODELS.index(drive.model) + 1) % len(MODELS)]
    place = [(0, drive.site(drive.entered))]
    fleet.drives.append(DrivePlan(drive.serial, other, drive.entered, fleet.days - 1, place, "r9", "b9"))
    drive.log.append(LogEntry(drive.serial, fleet.date(drive.left), "retired"))


def _entry(rng: Rng, drive: DrivePlan, fleet: FleetPlan, day: int, outcome: str) -> None:
    model = pick(rng, (None, drive.model, drive.model.lower().replace(" ", "-"), "no such model"))
    if model == "no such model" and rng.random() < 0.7:  # mostly
        model = None
    logged = fleet.date(day + pick(rng, OFFSETS))
    drive.log.append(LogEntry(drive.serial, logged, outcome, model, pick(rng, REASONS)))
