"""Case 2: snapshots in the store to lives, against a window over each drive's days."""

from __future__ import annotations

from typing import TYPE_CHECKING

from benchmarks.measure import Run, in_turns, module, run
from benchmarks.result import Goal

if TYPE_CHECKING:
    from benchmarks.place import Place
    from benchmarks.result import Result

GOAL = Goal(
    2, "snapshots in the store to lives", "DuckDB, lag() over a drive's days, then group", 0.30, wide=200
)


def lives(place: Place) -> list[Result]:
    """Measure the steps alone; both sides must find the same lives and the same drive-days."""
    store = place.store()
    snapshots = store / "snapshots" / "**" / "*.parquet"

    def reduced() -> Run:
        return run(*module("ours.lives", store, place.fresh("reduced")))

    def windowed() -> Run:
        return run(*module("peers.lag_lives", snapshots, place.fresh("lag.parquet")))

    ours, peer = in_turns(place.size.repeats, reduced, windowed)
    alike = all(ours.told[name] == peer.told[name] for name in ("lives", "drive_days"))
    return [GOAL.of_steps(ours, peer, "" if alike else f"the sides differ: {ours.told}, {peer.told}")]
