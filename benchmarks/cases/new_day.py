"""Case 3: one new day into stores of several years, against the same on an empty store, and against a rebuild."""

from __future__ import annotations

import os
import shutil
from typing import TYPE_CHECKING

from benchmarks.measure import Run, in_turns, module, run
from benchmarks.result import Goal

if TYPE_CHECKING:
    from pathlib import Path

    from benchmarks.place import Place
    from benchmarks.result import Result

MONTHS = 12
DAYS = 365
OF_A_REBUILD = 1 / 60


def new_day(place: Place) -> list[Result]:
    """Measure the last day of one fleet, coming into stores of its last years."""
    oldest = max(place.size.years)
    fleet = place.fleet(None, "--days", str(DAYS * oldest))
    before, day = _last_day_apart(sorted(fleet.glob("*.csv")), place.fresh("new-day"))
    stores = {}
    rebuilds = {}
    for years in place.size.years:
        stores[years] = place.fresh(f"store-{years}-years")
        rebuilds[years] = _up_to_rates(stores[years], *before[-MONTHS * years :])

    def into(store: Path | None) -> Run:
        fresh = place.fresh("grown")
        if store is not None:  # files of a store are never written to again, so links are as good as copies
            shutil.copytree(store, fresh, copy_function=os.link)
        return _up_to_rates(fresh, day)

    sides = [None, *stores.values()]
    empty, *grown = in_turns(place.size.repeats, *(lambda store=store: into(store) for store in sides))
    results = []
    for (years, rebuilt), ours in zip(rebuilds.items(), grown, strict=True):
        step = f"a new day into a store of {years} years" if years > 1 else "a new day into a store of 1 year"
        from_empty = Goal(3, step, "the same into an empty store", 1.2, wide=100)
        from_nothing = Goal(3, step, "making that store anew, once", OF_A_REBUILD, wide=10)
        results += [from_empty.of_steps(ours, empty), from_nothing.of_steps(ours, rebuilt)]
    return results


def _up_to_rates(store: Path, *files: Path) -> Run:
    return run(*module("ours.up_to_rates", store, *files))


def _last_day_apart(files: list[Path], folder: Path) -> tuple[list[Path], Path]:
    """The files but for their last day, and that day as a file of its own."""
    folder.mkdir()
    header, *lines = files[-1].read_text(encoding="utf-8").splitlines()
    last = lines[-1].partition(",")[0]
    day, earlier = folder / f"{last}.csv", folder / files[-1].name
    for file, kept in (
        (day, [line for line in lines if line.startswith(last)]),
        (earlier, [line for line in lines if not line.startswith(last)]),
    ):
        file.write_text("\n".join([header, *kept, ""]), encoding="utf-8")
    return [*files[:-1], earlier], day
