"""Dirt in the power-on hours: steps on the limits of the rules, and at the turn of a month, where they are judged."""

from __future__ import annotations

from typing import TYPE_CHECKING

from dirty.plans import between, pick

if TYPE_CHECKING:
    import numpy as np

    from dirty.plans import DrivePlan, FleetPlan

    Rng = np.random.Generator


def second_hand(rng: Rng, drive: DrivePlan, _: FleetPlan) -> None:
    """Come with hours on the clock."""
    drive.start_hours = pick(rng, (48.0, 48.25, 48.5, 72.0, 900.25, 8760.0, 30000.0))


def no_hours(_rng: Rng, drive: DrivePlan, _: FleetPlan) -> None:
    """Never tell the hours."""
    drive.start_hours = None


def bad_hours_first(rng: Rng, drive: DrivePlan, _: FleetPlan) -> None:
    """Begin with hours that are none."""
    for day in drive.days[: between(rng, 1, 5)]:
        drive.odd(day, power_on_hours=pick(rng, ("", "-5", "1e400", "nan", "200000", "-inf")))


def bad_hours(rng: Rng, drive: DrivePlan, _: FleetPlan) -> None:
    """Give hours now and then that are none."""
    for day in drive.days:
        if rng.random() < 0.1:  # now and then
            drive.odd(day, power_on_hours=pick(rng, ("", "-5", "1e400", "NaN", "131400.5", "131400")))


def hours_reset(rng: Rng, drive: DrivePlan, fleet: FleetPlan) -> None:
    """Fall back, on the limit of 48 hours or to next to nothing."""
    drive.start_hours = 500.0 + between(rng, 0, 5000)
    day = _turn_of_month(rng, drive, fleet)
    drive.counter_steps.append((day, pick(rng, (-72.0, -72.5, -73.0, -100.0, -1e6))))


def hours_jump(rng: Rng, drive: DrivePlan, fleet: FleetPlan) -> None:
    """Run ahead of the calendar, on the limit of 72 hours or far over."""
    day = _turn_of_month(rng, drive, fleet)
    drive.counter_steps.append((day, pick(rng, (71.0, 72.0, 72.25, 73.0, 5000.0))))


def hours_wrap(rng: Rng, drive: DrivePlan, fleet: FleetPlan) -> None:
    """Pass the end of the counter."""
    drive.modulus = pick(rng, (2**14, 2**15, 2**16, 2**17))
    wraps = _turn_of_month(rng, drive, fleet)
    drive.start_hours = float(drive.modulus - 24 * (wraps - drive.entered) + between(rng, 0, 23))
    unseen = pick(rng, (0, 0, 33, 34, 35))  # with 2^14 hours, 5 % are 34 days
    first = pick(rng, (wraps, wraps - unseen))
    drive.missing |= set(range(max(first, drive.entered + 1), min(first + unseen, drive.left)))


def hours_short(rng: Rng, drive: DrivePlan, _: FleetPlan) -> None:
    """First tell the hours after some days, and then too few for them."""
    silent = pick(rng, (3, 4, 5, 6, 12))
    for day in range(drive.entered, drive.entered + silent):
        drive.odd(day, power_on_hours="")
    drive.counter_steps.append((drive.entered, -24.0 * silent))


def _turn_of_month(rng: Rng, drive: DrivePlan, fleet: FleetPlan) -> int:
    """Choose the first day of a month, most of the time, after the drive's first."""
    later = range(drive.entered + 1, drive.left + 1)
    turns = [day for day in later if fleet.date(day).day == 1]
    return pick(rng, turns) if turns and rng.random() < 0.7 else between(rng, drive.entered + 1, drive.left)
