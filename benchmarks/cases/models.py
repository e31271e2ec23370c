"""Case 4: the statistics of many models from the lives in a store, against fitters that go life by life."""

from __future__ import annotations

import shutil
from pathlib import Path
from typing import TYPE_CHECKING

from benchmarks.measure import Run, in_turns, module, run
from benchmarks.result import Goal

if TYPE_CHECKING:
    from benchmarks.place import Place
    from benchmarks.result import Result

PEERS = Path(__file__).parents[1] / "peers"
SPAN = ("--days", "240", "--every", "28")  # lives of up to 8 months that nearly all began before: late entry
STEP = "rates, survival, Weibull lives"
BY_STEPS = Goal(4, STEP, "lifelines, a model at a time", 1 / 150, wide=1.0)
WHOLE = Goal(4, f"{STEP}, whole process", "R, survfit alone", 0.08, wide=20)


def models_at_once(place: Place) -> list[Result]:
    """Measure all models: steps alone against lifelines, whole programs against R, which fits no Weibull life."""
    size = place.size
    store = place.store(place.fleet(size.lives, *SPAN, "--models", str(size.models)))
    lives = next(store.glob("lives-*.parquet"))

    def ours() -> Run:
        return run(*module("ours.models", store))

    def lifelines() -> Run:
        return run(*module("peers.lifelines_models", lives))

    mine, theirs = in_turns(size.repeats, ours, lifelines)
    fits = f"{mine.told['fits']:.0f} of {mine.told['models']:.0f} models fitted, {theirs.told['fits']:.0f} by lifelines"
    results = [BY_STEPS.of_steps(mine, theirs, _same_failures(mine, theirs) or fits)]
    rscript = shutil.which("Rscript")
    if rscript is None:
        missing = "Rscript is missing (Debian: r-base-core, r-cran-survival)"
        return [*results, WHOLE.not_measured(missing)]
    table, binary = place.fresh("lives.csv"), place.fresh("lives.rds")
    run(*module("peers.lives_to_csv", lives, table))
    run(rscript, PEERS / "to_rds.R", table, binary)
    mine, theirs = in_turns(size.repeats, ours, lambda: run(rscript, PEERS / "survfit.R", binary))
    return [*results, WHOLE.of_programs(mine, theirs, _same_failures(mine, theirs))]


def _same_failures(mine: Run, theirs: Run) -> str:
    same = mine.told["failures"] == theirs.told["failures"]
    return "" if same else f"the sides differ: {mine.told} and {theirs.told}"
