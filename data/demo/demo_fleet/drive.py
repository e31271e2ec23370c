"""One drive as planned: when it reports, how it ends, what is wrong with it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from demo_fleet.days import is_silent

End = Literal["failed", "retired", "vanished", "in service"]


@dataclass(frozen=True, slots=True)
class Absence:
    """Days without a report, the first and the last included; `cuts` when it ends the life."""

    first: int
    last: int
    cuts: bool = False


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
    flagged: bool = True  # a failure that the rows flag; else only the removal log knows it
    age_known: bool = True
    absences: tuple[Absence, ...] = ()
    move: Move | None = None
    ghosts: int = 0  # days reported after the failure
    hours_fault: tuple[str, int] | None = None  # what happens to the hour counter, and on which day
    findings: tuple[tuple[str, int], ...] = ()

    def site_on(self, day: int) -> str:
        """Return the site whose rows the drive is in on a day it reports."""
        return self.move.site if self.move and day >= self.move.day else self.site

    def reports_on(self, day: int) -> bool:
        """Tell whether the files hold a row of this drive for a day."""
        if any(absence.first <= day <= absence.last for absence in self.absences):
            return False
        return self.first <= day <= self.last + self.ghosts and not is_silent(self.site_on(day), day)

    def in_service_on(self, day: int) -> bool:
        """Tell whether the drive is at risk on a day: cutting absences and days after its end are not."""
        if any(absence.cuts and absence.first <= day <= absence.last for absence in self.absences):
            return False
        return self.first <= day <= self.last


@dataclass(frozen=True, slots=True)
class LogEntry:
    """A line of the removal log."""

    serial: str
    day: int
    outcome: str
    model: str = ""
    reason: str = ""
