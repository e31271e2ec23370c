"""One drive as planned: when it reports, how it ends, what is wrong with it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from demo_fleet.days import OUTAGES

End = Literal["failed", "retired", "vanished", "in service"]


@dataclass(frozen=True, slots=True)
class Absence:
    """Days without a report, the first and the last included.

    `ends` says how the life before it ended; empty when the absence is bridged and the life goes on.
    """

    first: int
    last: int
    ends: Literal["", "interrupted", "retired"] = ""


@dataclass(frozen=True, slots=True)
class Move:
    """A change of site: `day` is the first day reported there, `logged` the day in the removal log."""

    day: int
    site: str
    rack: str
    logged: int


@dataclass(frozen=True, slots=True)
class Drive:
    """A drive and everything about it that the files will show.

    `last` is the day its life ends: its failure, or its last report. `age` is in whole days, at the start of
    `first`. `findings` are the checks that its faults were planted for, with the rows that each concerns.
    """

    serial: str
    model: str
    site: str
    rack: str
    batch: str
    first: int
    last: int
    end: End
    age: int
    told_by: Literal["rows", "repeated row", "log"] = "rows"  # where a failure stands
    age_known: bool = True
    absences: tuple[Absence, ...] = ()
    move: Move | None = None
    ghosts: int = 0  # days reported after the failure
    hours_fault: tuple[str, int] | None = None  # what happens to the hour counter, and on which day
    findings: tuple[tuple[str, int], ...] = ()

    def site_on(self, day: int) -> str:
        """Return the site whose rows the drive is in on a day it reports."""
        return self.move.site if self.move and day >= self.move.day else self.site

    def reported_days(self) -> set[int]:
        """Return the days for which the files hold a row of this drive, those after its failure included."""
        days = set(range(self.first, self.last + self.ghosts + 1))
        for absence in self.absences:
            days.difference_update(range(absence.first, absence.last + 1))
        for site in {self.site, self.site_on(self.last)}:
            for outage in OUTAGES[site]:
                days.difference_update(day for day in outage if self.site_on(day) == site)
        return days

    def days_at_risk(self) -> list[int]:
        """Return the days that count as exposure: all of its lives, reported or bridged."""
        days = set(range(self.first, self.last + 1))
        for absence in self.absences:
            if absence.ends:
                days.difference_update(range(absence.first, absence.last + 1))
        return sorted(days)


@dataclass(frozen=True, slots=True)
class LogEntry:
    """A line of the removal log."""

    serial: str
    day: int
    outcome: str
    model: str = ""
    reason: str = ""
