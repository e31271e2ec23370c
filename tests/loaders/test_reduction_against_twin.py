"""One load or many, in any order and packing: the store says what the slow reader says, drive by drive, day by day."""

from __future__ import annotations

from collections import Counter
from datetime import timedelta
from itertools import pairwise
from typing import TYPE_CHECKING, NamedTuple

import numpy as np
import pytest
from against_twin import differences
from fleets import (
    ALL_DIRT,
    ON_DRIVES,
    ON_FLEETS,
    ON_ROWS,
    PERIODS,
    Fleet,
    Size,
    make_fleet,
    mapping_toml,
    write_files,
    write_log,
)
from numpy.random import default_rng
from sweep import store_apart
from tiny_stores import put, table

from reliability.loaders.load import load
from reliability.loaders.mapping import read_mapping

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    from slow.nouns import RawFile, Truth

SIZES = {
    "day": Size(10, 30),
    "month": Size(15, 85),
    "quarter": Size(15, 120, 3, 3),
    "one": Size(18, 80, 1, 1),
}
TINY = Size(8, 58)
PACKINGS = ("plain", "gz", "zip")
ORDERS = ("at once", "in 5 loads", "shuffled in 3 loads")


class Way(NamedTuple):
    """How a fleet comes into the store."""

    seed: int
    period: str
    packing: str
    order: str

    def __str__(self) -> str:
        return "-".join(map(str, self)).replace(" ", "-")


WAYS = [
    Way(10 * row + column, period, packing, ORDERS[(row + column) % len(ORDERS)])
    for row, period in enumerate(PERIODS)
    for column, packing in enumerate(PACKINGS)
]


def parts_of(fleet: Fleet, truth: Truth, way: Way) -> list[list[RawFile]]:
    """The files of each load. Those that will be set aside come with the first: a load of these alone is refused."""
    files = [file for file in fleet.files if file.name not in truth.set_aside]
    if way.order.startswith("shuffled"):
        default_rng(way.seed).shuffle(files)
    loads = {"at once": 1, "in 5 loads": 5, "shuffled in 3 loads": 3}[way.order]
    cuts = np.linspace(0, len(files), min(loads, len(files)) + 1, dtype=int)
    parts = [files[first:last] for first, last in pairwise(cuts)]
    parts[0] += [file for file in fleet.files if file.name in truth.set_aside]
    return parts


def load_parts(fleet: Fleet, parts: Sequence[Sequence[RawFile]], packing: str, folder: Path) -> Path:
    """Load one part after the other, the log with the last."""
    mapping = read_mapping(put(folder / "mapping.toml", mapping_toml(fleet.aliases, fleet.failure)))
    for number, part in enumerate(parts, start=1):
        written = write_files(part, folder / f"part-{number}", packing)
        logs = [str(write_log(fleet.log, folder / "log.csv"))] if number == len(parts) else []
        load([str(path) for path in written], folder / "store", mapping=mapping, removals=logs)
    return folder / "store"


def days_apart(store: Path, truth: Truth) -> list[str]:
    """Hold each drive-day of the whereabouts against those of the truth: place, age, failure."""
    theirs: Counter[tuple[object, ...]] = Counter()
    for row in table(store, "whereabouts"):
        age = row["entry_age_days"]
        for number in range((row["last_day"] - row["first_day"]).days + 1):
            when = row["first_day"] + timedelta(days=number)
            where = tuple(row[name] for name in ("serial", "model", "life", "site", "rack", "batch"))
            fails = bool(row["fails"]) and when == row["last_day"]
            theirs[(*where, when, None if age is None else age + number + 1, fails)] += 1
    ours: Counter[tuple[object, ...]] = Counter(
        (d.serial, d.model, d.life, d.site, d.rack, d.batch, d.day, d.age, d.failed)
        for d in truth.days_at_risk
    )
    return [f"day that is none: {day}" for day in theirs - ours] + [
        f"day missing: {day}" for day in ours - theirs
    ]


@pytest.mark.parametrize("way", WAYS, ids=str)
def test_a_dirty_fleet_is_read_as_the_slow_reader_reads_it(way: Way, tmp_path: Path) -> None:
    fleet = make_fleet(default_rng(way.seed), SIZES[way.period], period=way.period)
    truth = fleet.truth()
    store = load_parts(fleet, parts_of(fleet, truth, way), way.packing, tmp_path)
    assert store_apart(store, truth) == []
    assert days_apart(store, truth) == []


def amount_of(kind: str) -> float:
    """So much of a kind that it is sure to happen in a tiny fleet."""
    return 1.0 if kind in ON_FLEETS else 0.5 if kind in ON_DRIVES else 0.03 if kind in ON_ROWS else 1.0


@pytest.mark.parametrize("kind", ALL_DIRT)
def test_each_kind_of_dirt_alone_is_read_as_the_slow_reader_reads_it(kind: str, tmp_path: Path) -> None:
    dirt = {kind: amount_of(kind) if kind != "coming_and_going" else 0.4}
    fleet = make_fleet(default_rng(3), TINY, period="one", dirt=dirt)
    clean = make_fleet(default_rng(3), TINY, period="one", dirt={})
    assert (fleet.files, fleet.log, fleet.aliases) != (clean.files, clean.log, clean.aliases), "it happened"
    truth = fleet.truth()
    store = load_parts(fleet, [list(fleet.files)], "plain", tmp_path)
    assert differences(table(store, "lives"), table(store, "checks"), truth) == []
    assert days_apart(store, truth) == []
