"""Snapshots of a store to stays to lives anew: `python -m benchmarks.ours.lives STORE OUT`."""

from __future__ import annotations

import json
import sys
import time
from dataclasses import replace
from pathlib import Path

import pyarrow.compute as pc
import pyarrow.parquet as pq

from reliability.loaders.engine import Engine
from reliability.loaders.ground import InStore
from reliability.loaders.manifest import read_manifest
from reliability.loaders.mapping import OWN_NAMES
from reliability.loaders.months import reduce_month
from reliability.loaders.progress import Silent
from reliability.loaders.reading import Reading
from reliability.loaders.reduce import make_lives
from reliability.loaders.sources import Found
from reliability.loaders.workplace import Workplace

if __name__ == "__main__":
    store, out = map(Path, sys.argv[1:])
    out.mkdir()
    (out / "snapshots").symlink_to(store.resolve() / "snapshots")
    known = read_manifest(store)
    began = time.perf_counter()
    engine = Engine(out / "spill")
    place = Workplace(engine, out, 1)
    ground = InStore(Found((), ()))
    ground.read(place, Reading(known, OWN_NAMES), Silent())  # no new files
    parts = {
        month: [entry.parts[month] for entry in known.sources.values() if month in entry.parts]
        for month in known.months
    }
    months = {
        month: reduce_month(place, ground, month, files, parts=parts[month], before=None, models=known.models)
        for month, files in ground.sum_up(place, parts, Silent())
    }
    manifest = replace(known, months=months, tables={}, checkpoint=None)
    tables, _ = make_lives(place, manifest, months)
    engine.close()
    seconds = time.perf_counter() - began
    lives = pq.read_table(out / tables["lives"], columns=["drive_days"])
    told = {
        "seconds": seconds,
        "lives": lives.num_rows,
        "drive_days": pc.sum(lives["drive_days"]).as_py(),
    }
    print(json.dumps(told))  # noqa: T201  (its answer)
