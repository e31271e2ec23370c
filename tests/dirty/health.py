"""Dirt in what drives tell of their health: counters that rise, come late, go missing, and totals that fall."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np
from slow.nouns import RawFile

from dirty.plans import pick

if TYPE_CHECKING:
    from collections.abc import Mapping

    from fleets import Fleet

    Rng = np.random.Generator

COUNTERS = (
    "reallocated_sectors",
    "pending_sectors",
    "offline_uncorrectable",
    "reported_uncorrectable",
    "command_timeouts",
    "interface_crc_errors",
    "media_errors",
    "percentage_used",
    "available_spare",
)
COLUMNS = (*COUNTERS, "bytes_written", "bytes_read", "temperature_c")
FIRST = np.datetime64("2023-01-01")  # before all fleets


def with_health(rng: Rng, fleet: Fleet) -> Fleet:
    """Let a fleet tell its health: the same rows, with other readings in them."""
    habits = {drive.serial: _habits(rng) for drive in fleet.plan.drives}
    return replace(fleet, files=tuple(_told(rng, file, habits) for file in fleet.files))


def _habits(rng: Rng) -> dict[str, tuple[int, int, float]]:
    """For each column: the days from which it is told and from which it moves, and how fast; few tell all."""
    told = {name: int(rng.integers(250, 450)) if rng.random() < 0.7 else 10_000 for name in COLUMNS}
    if rng.random() < 0.4:
        told = dict.fromkeys(COLUMNS, 0)
    return {name: (since, int(rng.integers(260, 700)), float(rng.random())) for name, since in told.items()}


def _told(rng: Rng, file: RawFile, habits: Mapping[str, dict[str, tuple[int, int, float]]]) -> RawFile:
    columns = (*file.columns, *(name for name in COLUMNS if name not in file.columns))
    if "serial" not in columns or "date" not in columns:
        return file
    places = {name: columns.index(name) for name in (*COLUMNS, "serial", "date")}
    added = len(columns) - len(file.columns)
    records = []
    for record in file.records:
        if len(record) != len(file.columns):
            records.append((*record, *["0"] * added))  # as torn as it was
            continue
        cells = [*record, *[""] * added]
        habit = habits.get(cells[places["serial"]].strip(), {})
        for name in habit:
            if name not in file.columns or rng.random() < 0.9:
                cells[places[name]] = _reading(rng, name, cells[places["date"]].strip(), habit[name])
        records.append(tuple(cells))
    return RawFile(file.name, columns, tuple(records))


def _reading(rng: Rng, name: str, day: str, habit: tuple[int, int, float]) -> str:
    """Read a drive: nothing before it tells, and now and then nothing later; a row now and then differs."""
    try:
        number = int((np.datetime64(day) - FIRST).astype(int))
    except ValueError:
        return "1"
    since, moves, speed = habit
    if number < since or rng.random() < 0.1:
        return ""
    moved = number > moves
    if name.startswith("bytes"):
        from_new = number - (moves if moved and speed > 0.7 else since)  # some totals fall, as after a reset
        return str(int(speed * 3e11 * from_new + rng.integers(0, 2) * 1e10))
    counts = int(rng.integers(1, 9)) if moved and rng.random() < 0.5 else 0
    readings = {
        "temperature_c": pick(rng, (20, 30, 39, 40, 41 if speed > 0.8 else 35)),
        "available_spare": pick(rng, (100, 99, 3)) if moved else 100,
        "percentage_used": min(120, int(speed * 60) + (60 if moved else 0)) + int(rng.integers(0, 2)),
    }
    return str(readings.get(name, counts))
