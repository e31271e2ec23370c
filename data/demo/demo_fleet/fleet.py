"""Draws the fleet: each drive's arrival, age and true end, before any dirt."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import TYPE_CHECKING

from demo_fleet.chance import below, between, stream
from demo_fleet.days import FERRY_SILENT, LAST, next_open
from demo_fleet.drive import Absence, Drive
from demo_fleet.plan import MODELS, Arrival, Model

if TYPE_CHECKING:
    import random

    from demo_fleet.drive import End

YEAR = 365


def days_to_failure(model: Model, age: int, times: float, chance: random.Random) -> int:
    """Draw how many whole days a drive of an age in days still runs, given that it has come so far."""
    threshold = -math.log(1.0 - chance.random())
    if model.shape == 1.0:
        return int(YEAR * threshold / (model.rate * times))
    scale = YEAR * model.scale_years
    spent = (age / scale) ** model.shape
    return int(scale * (spent + threshold / times) ** (1 / model.shape)) - age


def draw_drive(model: Model, arrival: Arrival, count: int, chance: random.Random) -> Drive:
    """Draw one drive of a model."""
    first = next_open(arrival.site, between(chance, arrival.first, arrival.last))
    age = between(chance, arrival.youngest, arrival.oldest)
    batch, times = model.batches[below(chance, len(model.batches))]
    rack = arrival.racks[below(chance, len(arrival.racks))]
    fails = next_open(arrival.site, first + days_to_failure(model, age, times, chance))
    stays = int(-YEAR * math.log(1.0 - chance.random()) / model.retired_a_year)
    retires = next_open(arrival.site, first + 20 + stays)
    watched = FERRY_SILENT.start - 1 if arrival.site == "ferry-hut" else LAST
    end: End = "in service"
    if min(fails, retires) <= watched:
        end = "failed" if fails <= retires else "retired"
    return Drive(
        serial=f"{model.key}-{count:04d}",
        model=model.key,
        site=arrival.site,
        rack=rack,
        batch=batch,
        first=first,
        last=min(fails, retires, watched),
        end=end,
        age=age,
    )


def draw_fleet() -> dict[str, Drive]:
    """Draw all drives, by serial."""
    fleet = {}
    for model in MODELS:
        chance = stream(f"fleet {model.key}")
        count = 0
        for arrival in model.arrivals:
            for _ in range(arrival.drives):
                count += 1
                drive = draw_drive(model, arrival, count, chance)
                fleet[drive.serial] = drive
    return fleet


def with_short_absences(drive: Drive, chance: random.Random) -> Drive:
    """Add up to two absences of one to three days, as every fleet has them; none is worth a finding."""
    absences: list[Absence] = []
    for _ in range(below(chance, 3)):
        start, length = chance.random(), between(chance, 1, 3)
        room = drive.last - drive.first - 20
        if room > 0:
            first = drive.first + 8 + int(start * room)
            absences.append(Absence(first, first + length - 1))
    return replace(drive, absences=tuple(absences))
