"""Dirty fleets whose drives fail at a known, constant rate, and who gets to know of it."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from dirty.plans import MODELS, between
from fleets import ALL_DIRT, Fleet, Size, make_fleet
from slow.nouns import LogEntry

if TYPE_CHECKING:
    from dirty.plans import DrivePlan, FleetPlan
    from numpy.random import Generator

RATE = 0.3  # failures per drive-year, of every drive of every model
STATED = dict.fromkeys(MODELS, RATE)
SECRETIVE = MODELS[2]  # of this model some failures are told to nobody
UNTOLD = 0.3
BRIDGED = 30  # days
SIZE = Size(drives=75, days=300, models=3)
# Dirt that invents failures, or takes away the column that tells of them, has no known truth.
FALSE = (
    *("fail", "first_day_failure", "failed_by_log", "several_entries", "seen_after_failure", "late_flag"),
    *("return_after_log", "logged_in_service", "logged_at_the_end", "flagged_and_logged", "logged_ahead"),
    *("flag_in_life", "short_second_life", "duplicate_in_conflict", "coming_and_going"),
    *("near_models", "silent_site"),  # these split a model in two, or end the data of a site early
)
DIRT = {kind: amount for kind, amount in ALL_DIRT.items() if kind not in FALSE}


@dataclass(slots=True)
class Fates:
    """Lets drives fail, and counts by model the failures of which somebody was told."""

    told: dict[str, int] = field(default_factory=lambda: dict.fromkeys(MODELS, 0))

    def befall(self, rng: Generator, drive: DrivePlan, fleet: FleetPlan) -> None:
        """Fail on the first day that chance chooses, unless the drive is gone by then."""
        day = drive.entered + int(rng.geometric(RATE / 365)) - 1
        if day > drive.left or not drive.days:
            return
        absent = _absence(drive, day)
        drive.left, drive.after, drive.log = day, set(), [x for x in drive.log if x.outcome == "moved"]
        seen = [each for each in drive.days if not fleet.is_dark(drive, each)]
        if absent > BRIDGED or (drive.model == SECRETIVE and rng.random() < UNTOLD):
            drive.missing.add(day)  # it vanishes: nobody wrote down what became of it
        elif not seen:
            return  # nobody ever saw it
        elif seen[-1] == day:
            drive.flagged.add(day)
            drive.after = {later for later in range(day + 1, day + between(rng, 1, 6)) if later < fleet.days}
            self.told[drive.model] += 1
        else:  # it failed unseen, and stands in the log
            logged = fleet.date(min(day + between(rng, 0, 5), fleet.days - 1))
            drive.log.append(LogEntry(drive.serial, logged, "failed", drive.model))
            self.told[drive.model] += 1


def _absence(drive: DrivePlan, day: int) -> int:
    """Days in a row, this one among them, on which the drive does not report."""
    before = after = day
    while before in drive.missing:
        before -= 1
    while after in drive.missing:
        after += 1
    return max(after - before - 1, 0)


def fleet_of(rng: Generator) -> tuple[Fleet, dict[str, int]]:
    """A dirty fleet, and the failures told by model."""
    fates = Fates()
    return make_fleet(rng, SIZE, period="quarter", dirt=DIRT, fate=fates.befall), fates.told
