"""What happens to the drives of an invented fleet, day by day, before anybody writes it down."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date, timedelta
from typing import TYPE_CHECKING, TypeVar

if TYPE_CHECKING:
    from collections.abc import Sequence

    import numpy as np
    from slow.nouns import LogEntry

T = TypeVar("T")
MODELS = ("TARN T18", "ULLA 20", "Orm_4k Plus")
SITES = ("north", "east", "quay", "Attic")


@dataclass(frozen=True, slots=True)
class Size:
    """How large a fleet is: up to 3 models and 4 sites."""

    drives: int = 30
    days: int = 150
    sites: int = 2
    models: int = 2


@dataclass(slots=True)
class DrivePlan:
    """One drive: days are whole numbers, 0 is the fleet's first."""

    serial: str
    model: str
    entered: int
    left: int  # its last day; the failure day if it fails
    site_from: list[tuple[int, str]]  # ("" is no site), in day order
    rack: str
    batch: str
    start_hours: float | None = 0.0  # at the end of the day entered; None: it never tells
    flagged: set[int] = field(default_factory=set)
    missing: set[int] = field(default_factory=set)
    after: set[int] = field(default_factory=set)  # days reported after the last
    counter_steps: list[tuple[int, float]] = field(
        default_factory=list
    )  # the hours move by this from then on
    modulus: int | None = None  # at which the hours wrap
    cells: dict[int, dict[str, str]] = field(default_factory=dict)  # odd cells of a day
    spelling: str | None = None  # how the model is written, if not as it is called
    log: list[LogEntry] = field(default_factory=list)

    @property
    def days(self) -> list[int]:
        """List the days on which the drive reports, unless its site is dark."""
        alive = [day for day in range(self.entered, self.left + 1) if day not in self.missing]
        return alive + sorted(self.after)

    def odd(self, day: int, **cells: str) -> None:
        """Write odd cells on a day."""
        self.cells.setdefault(day, {}).update(cells)

    def site(self, day: int) -> str:
        """Say where the drive is."""
        return [site for start, site in self.site_from if start <= day][-1]

    def hours(self, day: int) -> str:
        """Write the power-on hours at the end of a day."""
        if self.start_hours is None:
            return ""
        hours = self.start_hours + 24 * (day - self.entered)
        hours = max(0.0, hours + sum(step for start, step in self.counter_steps if start <= day))
        shown = hours % self.modulus if self.modulus else hours
        return f"{shown:.2f}".removesuffix("0").removesuffix(".0")


@dataclass(slots=True)
class FleetPlan:
    """The fleet: its drives, and the days on which a site is dark ("" is no site)."""

    first: date
    days: int
    drives: list[DrivePlan]
    dark: dict[str, set[int]] = field(default_factory=dict)
    log: list[LogEntry] = field(default_factory=list)  # entries that belong to no drive
    aliases: dict[str, list[str]] = field(default_factory=dict)

    def date(self, day: int) -> date:
        """Turn a whole number into a day."""
        return self.first + timedelta(days=day)

    def is_dark(self, drive: DrivePlan, day: int) -> bool:
        """Tell whether nothing is collected where the drive is."""
        return day in self.dark.get(drive.site(day), ())


def pick(rng: np.random.Generator, choices: Sequence[T]) -> T:
    """Choose one."""
    return choices[int(rng.integers(len(choices)))]


def between(rng: np.random.Generator, low: int, high: int) -> int:
    """Choose a whole number from low to high, both included; low if high is lower."""
    return int(rng.integers(low, max(low, high) + 1))


def clean_fleet(rng: np.random.Generator, size: Size) -> FleetPlan:
    """Plan a fleet in which nothing odd happens: all drives enter new or late, and stay."""
    first = date(2023, 10, 1) + timedelta(days=between(rng, 0, 120))
    plan = FleetPlan(first, size.days, [])
    for number in range(size.drives):
        entered = 0 if rng.random() < 0.5 else between(rng, 0, size.days - 2)  # half of them
        plan.drives.append(
            DrivePlan(
                serial=f"K{number:03d}" if number % 3 else f"k{number:03d}",
                model=MODELS[number % size.models],
                entered=entered,
                left=size.days - 1,
                site_from=[(0, SITES[between(rng, 0, size.sites - 1)])],
                rack=f"r{between(rng, 1, 3)}",
                batch=f"b{between(rng, 1, 2)}",
                start_hours=float(between(rng, 0, 24)),
            )
        )
    return plan
