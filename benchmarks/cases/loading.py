"""Cases 1 and 5: a whole load against a bare conversion of the same bytes, and its memory against its size."""

from __future__ import annotations

from typing import TYPE_CHECKING

from benchmarks.measure import Run, in_turns, module, run
from benchmarks.result import Goal

if TYPE_CHECKING:
    from benchmarks.place import Place
    from benchmarks.result import Result

MEMORY_MB = 700
POLARS = "Polars, scan and sink a month"


def load(place: Place) -> list[Result]:
    """Measure `load` whole: mapping, spellings, checks, rejects, accounts, Parquet, lives."""
    fleet = place.fleet()

    def bare(name: str) -> Run:
        return run(*module(f"peers.{name}", fleet, place.fresh(name)))

    ours, polars, duckdb = in_turns(
        place.size.repeats,
        lambda: place.load_anew(fleet),
        lambda: bare("polars_load"),
        lambda: bare("duckdb_copy"),
    )
    return [
        Goal(1, "load", POLARS, 1.25, wide=200).of_programs(ours, polars),
        Goal(1, "load", "DuckDB, COPY a month").of_programs(ours, duckdb),
        _of_days(place),
    ]


def _of_days(place: Place) -> Result:
    """The same rows as a collector writes them every day; the peer still makes a file a month of them."""
    fleet = place.fleet(None, "--daily")
    ours, polars = in_turns(
        place.size.repeats,
        lambda: place.load_anew(fleet),
        lambda: run(*module("peers.polars_load", fleet, place.fresh("polars_load"))),
    )
    return Goal(1, "load of a file a day", POLARS).of_programs(ours, polars)


def memory(place: Place) -> list[Result]:
    """Measure how memory grows with the rows loaded, and whether it stays small."""
    large, small = place.fleet(), place.fleet(place.size.few_drives)
    ours, less = in_turns(1, lambda: place.load_anew(large), lambda: place.load_anew(small))
    part = place.size.drives / place.size.few_drives
    growth = Goal(5, "memory of a load", f"a load of 1/{part:.0f} of the drives", 1.3, wide=20)
    bound = Goal(5, "memory of a load", f"{MEMORY_MB} MB", 1.0, wide=10)
    return [growth.of_memory(ours, less.megabytes), bound.of_memory(ours, MEMORY_MB)]
