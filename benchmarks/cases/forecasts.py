"""Case 8: failures to come by bootstrap, all draws of a model at once, against refits one after the other."""

from __future__ import annotations

from typing import TYPE_CHECKING

from benchmarks.cases.models import SPAN
from benchmarks.measure import Run, in_turns, module, run
from benchmarks.result import Goal

if TYPE_CHECKING:
    from benchmarks.place import Place
    from benchmarks.result import Result

DRAWS = "1000"
GOAL = Goal(8, "bootstrap forecast, 1,000 draws", "lifelines refits, reckoned from 5", 1 / 1000, wide=0.1)


def bootstrap(place: Place) -> list[Result]:
    """Measure the step alone on the lives of case 4; the refits make no forecast of what they found."""
    size = place.size
    store = place.store(place.fleet(size.lives, *SPAN, "--models", str(size.models)))
    lives = next(store.glob("lives-*.parquet"))

    def ours() -> Run:
        return run(*module("ours.bootstrap", store, DRAWS))

    def refits() -> Run:
        return run(*module("peers.lifelines_refits", lives, DRAWS))

    mine, theirs = in_turns(size.repeats, ours, refits)
    return [GOAL.of_steps(mine, theirs, f"{mine.told['models']:.0f} models")]
