"""Published lifetimes written as daily snapshots, one serial each, to hold the whole way against books.

>>> fans = generator_fans()
>>> sum(unit.days for unit in fans.units), sum(unit.failed for unit in fans.units)
(34444, 12)
>>> residents = channing_residents()
>>> len(residents.units), [(unit.entry, unit.exit) for unit in residents.left_out]
(458, [(957, 957), (944, 944), (935, 935), (953, 953)])
"""

from __future__ import annotations

import csv
from dataclasses import dataclass
from datetime import date, timedelta
from pathlib import Path

from slow.nouns import LogEntry, RawFile

DATA = Path(__file__).parent / "references" / "data"
COLUMNS = ("date", "serial", "model", "failed", "power_on_hours", "batch")
FIRST_DAY = date(2020, 1, 1)


@dataclass(frozen=True, slots=True)
class Unit:
    """A published lifetime on the fleet's clock: at risk on the ages (entry, exit], in whole days."""

    serial: str
    model: str
    batch: str
    entry: int
    exit: int
    failed: bool
    first_day: date

    @property
    def days(self) -> int:
        """Count its drive-days."""
        return self.exit - self.entry

    @property
    def last_day(self) -> date:
        """Give the day of its last row: that of the failure, or the one on which it was taken out."""
        return self.first_day + timedelta(days=self.days - 1)


@dataclass(frozen=True, slots=True)
class PublishedFleet:
    """Published lifetimes; those that are no life (exit not after entry) stand apart."""

    units: tuple[Unit, ...]
    left_out: tuple[Unit, ...]

    @property
    def files(self) -> tuple[RawFile, ...]:
        """Write one row a unit and day into a file a year; failed units raise the flag on their last day."""
        years: dict[int, list[tuple[str, ...]]] = {}
        for unit in self.units:
            for number in range(unit.days):
                day = unit.first_day + timedelta(days=number)
                failed = "true" if unit.failed and day == unit.last_day else "false"
                # at the end of the first day a unit of age 0 has run for 24 hours
                hours = str(24 * (unit.entry + number + 1))
                row = (day.isoformat(), unit.serial, unit.model, failed, hours, unit.batch)
                years.setdefault(day.year, []).append(row)
        return tuple(RawFile(f"{year}.csv", COLUMNS, tuple(years[year])) for year in sorted(years))

    @property
    def log(self) -> tuple[LogEntry, ...]:
        """Log the units that did not fail as retired on their last day, so that none seems vanished."""
        return tuple(
            LogEntry(unit.serial, unit.last_day, "retired", unit.model)
            for unit in self.units
            if not unit.failed
        )


def generator_fans() -> PublishedFleet:
    """Give the 70 fans of diesel generators (Nelson 1982; citation from memory); all start together.

    One fleet day stands for 10 published hours, of which all lifetimes are multiples; nothing is rounded.
    """
    units = []
    for number, row in enumerate(_rows("genfan.csv"), start=1):
        days, rest = divmod(int(row["hours"]), 10)
        if rest:
            raise ValueError(f"{row['hours']} hours are no whole number of tens")
        units.append(Unit(f"FAN-{number:02d}", "Generator fan", "", 0, days, row["status"] == "1", FIRST_DAY))
    return PublishedFleet(tuple(units), ())


def channing_residents(*, model_each_sex: bool = False) -> PublishedFleet:
    """Give the 462 residents (Hyde 1977; citation from memory), observed from an age of entry on: late entry.

    One fleet day stands for a published month. The calendar runs by age, so the youngest opens the fleet. The
    sex stands as batch, and in the model if asked for. The four who left in the month they came stand apart.
    """
    rows = list(_rows("channing.csv"))
    youngest = min(int(row["entry"]) for row in rows)
    units = []
    for number, row in enumerate(rows, start=1):
        entry, last = int(row["entry"]), int(row["exit"])
        units.append(
            Unit(
                serial=f"RES-{number:03d}",
                model=f"Resident {row['sex']}" if model_each_sex else "Resident",
                batch=row["sex"],
                entry=entry,
                exit=last,
                failed=row["status"] == "1",
                first_day=FIRST_DAY + timedelta(days=entry - youngest),
            )
        )
    return PublishedFleet(
        tuple(unit for unit in units if unit.exit > unit.entry),
        tuple(unit for unit in units if unit.exit <= unit.entry),
    )


def _rows(name: str) -> list[dict[str, str]]:
    with (DATA / name).open(encoding="utf-8", newline="") as text:
        return list(csv.DictReader(text))
