"""Case 6: the whole quarterly report, against drawing nothing but a survival panel for each of its models."""

from __future__ import annotations

import subprocess
from typing import TYPE_CHECKING

from benchmarks.measure import DRIVEYEARS, Run, in_turns, module, run
from benchmarks.result import Goal

if TYPE_CHECKING:
    from benchmarks.place import Place
    from benchmarks.result import Result

QUARTER = "2026Q1"


def quarterly_report(place: Place) -> list[Result]:
    """Measure the page with every figure and table of 50 models."""
    store = place.store()
    curves = place.fresh("curves.json")
    command = [*DRIVEYEARS, "survival", "--format", "json", "--store", str(store)]
    with curves.open("w", encoding="utf-8") as out:
        subprocess.run(command, stdout=out, check=True)  # noqa: S603  (the command is ours)

    def report() -> Run:
        out = place.fresh("report")
        return run(*DRIVEYEARS, "report", "--quarter", QUARTER, "--out", out, "--store", store)

    def panels() -> Run:
        return run(*module("peers.survival_panels", curves, place.fresh("panels")))

    ours, peer = in_turns(place.size.repeats, report, panels)
    goal = Goal(
        6, "the quarterly report, 50 models", "matplotlib, a survival panel a model as SVG", 2.0, wide=30
    )
    return [goal.of_programs(ours, peer)]
