"""Looks that are planned in advance: at the ends of which quarters, and how far they have come."""

from __future__ import annotations

from dataclasses import dataclass

from reliability.cli.output import say
from reliability.comparer.spending import PlannedLooks
from reliability.errors import QuestionError
from reliability.loaders.manifest import fix_looks
from reliability.loaders.store import Store
from reliability.quarter import Quarter

MOST_LOOKS = 40  # ten years; each takes the chances of all counts before it


@dataclass(frozen=True, slots=True)
class Schedule:
    """A look at the end of every quarter from the first to the last.

    >>> str(Schedule.parse("2026q3 - 2027Q2")), len(Schedule.parse("2026Q3-2027Q2").quarters)
    ('2026Q3-2027Q2', 4)
    """

    first: Quarter
    last: Quarter

    @classmethod
    def parse(cls, text: str) -> Schedule:
        """Read `2026Q1-2027Q4`; anything else is a `QuestionError`."""
        first, dash, last = text.partition("-")
        if not dash:
            raise QuestionError(
                f"--looks {text} is no plan; write the first and the last quarter, such as 2026Q1-2027Q4."
            )
        found = cls(Quarter.parse(first), Quarter.parse(last))
        if found.first > found.last:
            raise QuestionError(f"--looks {text} ends before it begins; write the first quarter first.")
        if len(found.quarters) > MOST_LOOKS:
            raise QuestionError(
                f"--looks {text} plans {len(found.quarters):,} looks; plan at most {MOST_LOOKS}, or go by the running "
                "comparison of the report, which holds at any number of them."
            )
        return found

    @property
    def quarters(self) -> tuple[Quarter, ...]:
        """Every quarter at whose end a look is planned."""
        found = [self.first]
        while found[-1] < self.last:
            found.append(found[-1].next())
        return tuple(found)

    def __str__(self) -> str:
        """Write it as `parse` reads it."""
        return f"{self.first}-{self.last}"


def looks_so_far(store: Store, schedule: Schedule) -> tuple[Quarter, ...]:
    """Quarters of the schedule that the data have reached the end of, after the store has fixed it.

    The first schedule that is asked for is kept in the store; another one is refused, for a plan that may change is
    none. Raises QuestionError also before the first look, and for a look before the data begin.
    """
    if schedule.first.last_day < store.first_day:
        raise QuestionError(
            f"The first look is planned for the end of {schedule.first}, on {schedule.first.last_day}, and the data "
            f"begin on {store.first_day}: plan no look before there is something to look at."
        )
    reached = tuple(quarter for quarter in schedule.quarters if quarter.last_day <= store.last_day)
    if not reached:
        raise QuestionError(
            f"The first look is planned for the end of {schedule.first}, on {schedule.first.last_day}, and the data "
            f"end on {store.last_day}: wait for it, or load the files up to then."
        )
    fixed = store.manifest.looks
    if fixed is None:
        fixed = fix_looks(store.folder, str(schedule))
        say(
            f"driveyears: the looks of the store in {store.folder} are now planned as {fixed}, for good: "
            "a plan that could change with the data would keep no level."
        )
    if fixed != str(schedule):
        raise QuestionError(
            f"The looks of this store were planned as {fixed}, not as {schedule}; a plan that changes with the data "
            f"keeps no level. Give --looks {fixed}, or leave it out for a single look."
        )
    return reached


def planned_looks(
    store: Store, schedule: Schedule, reached: tuple[Quarter, ...], level: float
) -> dict[str, PlannedLooks]:
    """For each model its exposure by each look so far."""
    by_look = [
        {str(cell.labels["model"]): cell.rate.drive_years for cell in found.cells}
        for found in (store.exposure(("model",), last_day=quarter.last_day) for quarter in reached)
    ]
    return {
        model: PlannedLooks(
            tuple(exposure.get(model, 0.0) for exposure in by_look), len(schedule.quarters), level
        )
        for model in by_look[-1]
    }
