"""Case 7: how long a command takes to start, and to answer the commonest question."""

from __future__ import annotations

from typing import TYPE_CHECKING

from benchmarks.measure import DRIVEYEARS, PYTHON, in_turns, module, run
from benchmarks.result import Goal

if TYPE_CHECKING:
    from benchmarks.place import Place
    from benchmarks.result import Result

MORE = 3  # times as often as other cases, for a start is short


def start(place: Place) -> list[Result]:
    """Measure help against Python itself, and the rates against the engine's own start."""
    store = place.store()
    times = MORE * place.size.repeats
    shown, python, rates, engine = in_turns(
        times,
        lambda: run(*DRIVEYEARS, "--help"),
        lambda: run(PYTHON, "-c", "pass"),
        lambda: run(*DRIVEYEARS, "rates", "--store", store),
        lambda: run(*module("peers.select_one")),
    )
    return [
        Goal(7, "driveyears --help", "python -c pass", 6.0, wide=60).of_programs(shown, python),
        Goal(7, "driveyears rates", "DuckDB from Python, select 1", 3.0, wide=30).of_programs(rates, engine),
    ]
