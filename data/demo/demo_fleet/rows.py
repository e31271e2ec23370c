"""Turns drives into rows: what each column holds for a drive, day by day."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from demo_fleet.chance import between, stream
from demo_fleet.counters import health_of, hours_on
from demo_fleet.days import date_of
from demo_fleet.names import STRAY_NAMES, spelled, written
from demo_fleet.plan import BY_KEY

if TYPE_CHECKING:
    from demo_fleet.drive import Drive

Columns = dict[str, list[object]]

SITE_WARMTH = {"pier-house": 2, "mill-loft": 4, "lantern-hill": 0, "ferry-hut": 6, "": 3}
FIRMWARE = {"D6": "6.02", "D12": "3.11", "K12": "K12c"}


def model_name(drive: Drive) -> str:
    """Return the model's name, free of spellings; of a stray name, the name itself."""
    return STRAY_NAMES.get(drive.model) or BY_KEY[drive.model].name


def columns_of(drive: Drive, days: list[int]) -> Columns:
    """Return the columns of a drive's rows on the given days, in order."""
    count = len(days)
    plan = BY_KEY[drive.model.removeprefix("stray ")]
    sites = [drive.site_on(day) for day in days]
    moved = [drive.move is not None and day >= drive.move.day for day in days]
    columns: Columns = {
        "date": [date_of(day) for day in days],
        "serial": written(drive.serial, days),
        "model": _models(drive, days),
        "capacity_tb": [plan.capacity_tb] * count,
        "batch": [f"{plan.key}-{drive.batch}"] * count,
        "site": [site or None for site in sites],
        "rack": [(drive.move.rack if there and drive.move else drive.rack) or None for there in moved],
        "failed": [drive.end == "failed" and drive.told_by == "rows" and day >= drive.last for day in days],
        "power_on_hours": list(hours_on(drive, days)),
        "temperature_c": _temperatures(drive, days),
        "firmware": [FIRMWARE.get(drive.model, "")] * count,
    }
    columns.update(_counters(drive, days))
    columns.update(_work(drive, days, plan.tb_per_year))
    return columns


def _models(drive: Drive, days: list[int]) -> list[object]:
    name = model_name(drive)
    before = [day for day in days if drive.move is None or day < drive.move.day]
    names = spelled(drive.model, name, drive.site, before)
    if drive.move:
        names += spelled(drive.model, name, drive.move.site, days[len(before) :])
    return list(names)


def _temperatures(drive: Drive, days: list[int]) -> list[object]:
    own = between(stream(f"warmth {drive.serial}"), 0, 5)
    base = 26 + own + SITE_WARMTH[drive.site] + sum(map(ord, drive.rack)) % 3
    return [base + round(3 * math.cos(2 * math.pi * (day // 14 * 14 - 205) / 365)) for day in days]


def _counters(drive: Drive, days: list[int]) -> Columns:
    names = ("reallocated_sectors", "pending_sectors", "reported_uncorrectable", "interface_crc_errors")
    steps = health_of(drive)
    columns: Columns = {}
    for name in names:
        columns[name] = [0] * len(days)
        for start, value in steps.get(name, ()):  # in rising order: the last one reached stands
            columns[name] = [
                value if day >= start else old for day, old in zip(days, columns[name], strict=True)
            ]
    return columns


def _work(drive: Drive, days: list[int], tb_per_year: int) -> Columns:
    chance = stream(f"work {drive.serial}")
    written = int(tb_per_year * 1e12 / 365 * (0.6 + 0.8 * chance.random()))
    read = int(written * (0.8 + 2 * chance.random()))
    served = [drive.age + day - drive.first + 1 for day in days]
    return {"bytes_written": [n * written for n in served], "bytes_read": [n * read for n in served]}
