"""A generated fleet to measure on: `python -m benchmarks.fleet FOLDER [--small]`.

Daily health snapshots of many drives, one CSV file a month, by day and then by serial number, as a collector writes
them. Whole columns are made at once, so that 11 million rows take well under a minute. The same seed, size and
versions of the libraries give the same bytes.
"""

from __future__ import annotations

import argparse
import json
from dataclasses import dataclass
from datetime import date, timedelta
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
import pyarrow as pa
import pyarrow.compute as pc
from pyarrow import csv

if TYPE_CHECKING:
    from collections.abc import Iterator

    from numpy.typing import NDArray

    Numbers = NDArray[np.int64]

COUNTERS = ("reallocated_sectors", "pending_sectors", "reported_uncorrectable", "interface_crc_errors")
SHARE_WITH_COUNTS = (0.06, 0.02, 0.03, 0.01)  # of drives that ever count something, so that most cells are 0
SITES, RACKS = 4, 60
MODELS = 50
YEARS_BEFORE = 4  # how long before the first day the oldest drives were put to work
CAPACITIES_TB = (8.0, 10.0, 12.0, 16.0, 20.0, 24.0)
UNREADABLE = "n/a"


@dataclass(frozen=True, slots=True)
class Plan:
    """How large a fleet, from when, and by which seed."""

    drives: int = 33_000
    days: int = 430
    last_day: date = date(2026, 3, 6)
    models: int = MODELS
    every: int = 1  # days from one report of a drive to its next
    dirty: float = 0.0  # share of rows with a fault: an unreadable cell, no serial number, or the row twice
    seed: int = 5

    @property
    def first_day(self) -> date:
        """The day that other days count from."""
        return self.last_day - timedelta(days=self.days - 1)


FULL = Plan()
SMALL = Plan(drives=2_900)


@dataclass(frozen=True, slots=True)
class Drives:
    """All drives of a fleet, by number; days count from the fleet's first day."""

    serial: pa.Array
    model: pa.Array
    capacity_tb: NDArray[np.float64]
    site: pa.Array
    rack: pa.Array
    installed: Numbers  # negative: before the first snapshot
    last: Numbers  # its last day; beyond the last snapshot: still in service
    fails: NDArray[np.bool_]  # whether the last day is a failure; otherwise it was taken out
    daily_bytes: Numbers
    counts_from: Numbers  # drives x counters, the day from which each counter rises


def drives_of(plan: Plan) -> Drives:
    """Draw the drives: four fifths of all drive-days are in service, models differ in size and in rate.

    Lives follow Weibull laws with shapes between 0.7 and 1.8; a drive in a thousand and a half is retired each month.
    """
    rng = np.random.default_rng(plan.seed)
    total = plan.drives
    share = 1 / (np.arange(plan.models) + 3.0)
    model = np.sort(rng.choice(plan.models, total, p=share / share.sum()))
    before = rng.random(total) < 0.635  # noqa: PLR2004  (makes up for those who join later and those who leave)
    installed = np.where(
        before, -rng.integers(1, 365 * YEARS_BEFORE, total), rng.integers(0, plan.days, total)
    )
    yearly = np.exp(rng.uniform(np.log(0.003), np.log(0.03), plan.models))[model]
    shape = rng.uniform(0.7, 1.8, plan.models)[model]
    start = (
        np.maximum(-installed, 0) / 365
    )  # years lived before the first snapshot, survived by all who are there
    to_failure = (start**shape + rng.exponential(size=total) / yearly) ** (1 / shape)
    failed = installed + np.ceil(365 * to_failure).astype(np.int64)
    retired = np.maximum(installed, 0) + rng.geometric(0.0015 / 30, total)
    chance = rng.random((total, len(COUNTERS))) < SHARE_WITH_COUNTS
    onset = rng.integers(0, plan.days, (total, len(COUNTERS)))
    return Drives(
        serial=pa.array([f"{'PUTV'[number % 4]}Z{number * 7919 % 10**7:07}" for number in range(total)]),
        model=pa.array([f"TOLMAW T{100 + 7 * number}" for number in range(plan.models)]).take(model),
        capacity_tb=np.array(CAPACITIES_TB)[model % len(CAPACITIES_TB)],
        site=pa.array([f"hall-{number + 1}" for number in range(SITES)]).take(rng.integers(0, SITES, total)),
        rack=pa.array([f"r{number + 1:02}" for number in range(RACKS)]).take(rng.integers(0, RACKS, total)),
        installed=installed,
        last=np.minimum(failed, retired),
        fails=failed <= retired,
        daily_bytes=rng.integers(10**10, 4 * 10**11, total),
        counts_from=np.where(chance, onset, plan.days),
    )


def months(plan: Plan) -> Iterator[tuple[str, range]]:
    """Each calendar month of a plan, with its days counted from the first."""
    days = [plan.first_day + timedelta(days=day) for day in range(plan.days)]
    starts = [day for day, when in enumerate(days) if day == 0 or when.day == 1]
    for start, end in zip(starts, [*starts[1:], plan.days], strict=True):
        yield f"{days[start]:%Y-%m}", range(start, end)


def each_day(plan: Plan) -> Iterator[tuple[str, range]]:
    """Each day of a plan, counted from the first."""
    for day in range(plan.days):
        yield f"{plan.first_day + timedelta(days=day)}", range(day, day + 1)


def snapshots(plan: Plan, drives: Drives, days: range) -> pa.Table:
    """All rows of some days: 14 columns, by day, then by number of the drive."""
    rng = np.random.default_rng([plan.seed, days.start])
    day_numbers = np.arange(days.start, days.stop)[:, None]
    there = (drives.installed <= day_numbers) & (day_numbers <= drives.last)
    if plan.every > 1:
        due = (day_numbers + np.arange(plan.drives)) % plan.every == 0
        there &= due | (day_numbers == drives.last)
    at, drive = np.nonzero(there)
    day = at + days.start
    worked = day - drives.installed[drive]
    dates = pa.array([str(plan.first_day + timedelta(days=number)) for number in days])
    celsius = 27 + drive % 7 + rng.integers(0, 5, len(day))
    columns = {
        "date": dates.take(at),
        "serial": drives.serial.take(drive),
        "model": drives.model.take(drive),
        "capacity_tb": drives.capacity_tb[drive],
        "failed": (drives.fails[drive] & (drives.last[drive] == day)).astype(np.int8),
        "power_on_hours": 24 * worked + drive % 24,
        "temperature_c": celsius,
        "bytes_written": drives.daily_bytes[drive] * worked,
    }
    for number, name in enumerate(COUNTERS):
        risen = day - drives.counts_from[drive, number]
        columns[name] = np.where(risen >= 0, 1 + risen // 3 * (1 + drive % 5), 0)
    columns |= {"site": drives.site.take(drive), "rack": drives.rack.take(drive)}
    table = pa.table(columns)
    return with_faults(table, plan.dirty, rng) if plan.dirty else table


def with_faults(table: pa.Table, share: float, rng: np.random.Generator) -> pa.Table:
    """Spoil a share of the rows: half get unreadable hours, a quarter lose their serial, a quarter come twice."""
    fate = rng.random(table.num_rows) / share
    hours = pc.if_else(pa.array(fate < 0.5), UNREADABLE, table["power_on_hours"].cast(pa.string()))  # noqa: PLR2004
    serial = pc.if_else(pa.array((fate >= 0.5) & (fate < 0.75)), "", table["serial"])  # noqa: PLR2004
    spoiled = table.set_column(table.column_names.index("power_on_hours"), "power_on_hours", hours)
    spoiled = spoiled.set_column(table.column_names.index("serial"), "serial", serial)
    twice = (fate >= 0.75) & (fate < 1)  # noqa: PLR2004
    return spoiled.take(np.repeat(np.arange(table.num_rows), 1 + twice))


def write_file(table: pa.Table, file: Path) -> None:
    """Write one CSV file."""
    file.parent.mkdir(parents=True, exist_ok=True)
    options = csv.WriteOptions(quoting_style="none", quoting_header="none")
    csv.write_csv(table, file, options)


def write_fleet(plan: Plan, folder: Path, only: str | None = None, *, daily: bool = False) -> int:
    """Write a file a month, or a day, into a folder, or that of one of these only; return how many rows they hold."""
    drives = drives_of(plan)
    rows = 0
    for name, days in each_day(plan) if daily else months(plan):
        if only not in (None, name):
            continue
        table = snapshots(plan, drives, days)
        write_file(table, folder / f"{name}.csv")
        rows += table.num_rows
    return rows


def main() -> None:
    """Write a fleet from the command line."""
    parser = argparse.ArgumentParser(prog="python -m benchmarks.fleet", description=__doc__.splitlines()[0])
    parser.add_argument("folder", type=Path)
    parser.add_argument("--small", action="store_true", help="a million rows instead of 11 millions")
    parser.add_argument("--drives", type=int, help="how many drives, whatever the size")
    parser.add_argument("--days", type=int, default=FULL.days, help="how many days, up to the same last one")
    parser.add_argument("--models", type=int, default=FULL.models, help="how many models")
    parser.add_argument("--month", help="this month only, say 2026-03")
    parser.add_argument("--daily", action="store_true", help="a file a day instead of one a month")
    parser.add_argument("--every", type=int, default=1, help="days from one report of a drive to its next")
    parser.add_argument("--dirty", type=float, default=0.0, help="share of faulty rows, say 0.001")
    asked = parser.parse_args()
    plan = Plan(
        drives=asked.drives or (SMALL if asked.small else FULL).drives,
        days=asked.days,
        models=asked.models,
        every=asked.every,
        dirty=asked.dirty,
    )
    rows = write_fleet(plan, asked.folder, asked.month, daily=asked.daily)
    print(json.dumps({"rows": rows}))  # noqa: T201  (the answer of a program)


if __name__ == "__main__":
    main()
