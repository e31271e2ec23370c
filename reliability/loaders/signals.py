"""Health counters, temperature and workload as states that drives pass through, and what became of them there.

A signal has two states to compare, `unexposed` and `exposed`. On every day a drive is in the state that was known
when the day began: nothing is told of it that only the days to come would show.
"""

from __future__ import annotations

import math
from dataclasses import asdict, dataclass
from itertools import groupby, pairwise
from typing import TYPE_CHECKING, Any

from reliability.errors import QuestionError
from reliability.loaders.columns import COUNTERS
from reliability.rate import Rate
from reliability.units import BYTES_PER_TB, DAYS_PER_YEAR

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence
    from datetime import date

    import pandas as pd

    from reliability.loaders.engine import Engine
    from reliability.risk_table import RiskTable

UNEXPOSED, EXPOSED, NOT_REPORTED, NOT_RATED = STATES = ("unexposed", "exposed", "not reported", "not rated")
ANY_ERROR = "any_error_counter"
ERROR_COUNTERS = (  # those that count faults of the drive: a cable's, wear and spare capacity are none
    "reallocated_sectors",
    "pending_sectors",
    "offline_uncorrectable",
    "reported_uncorrectable",
    "command_timeouts",
    "media_errors",
)
COUNTER_SIGNALS = (ANY_ERROR, *COUNTERS)
RATED_SIGNALS = ("temperature", "workload", "either_rating")
SIGNALS = (*COUNTER_SIGNALS, *RATED_SIGNALS)
_READY = "counts_told", "wear_told", "counter_turns", "rated_months", "state_periods", "state_spans"


@dataclass(frozen=True, slots=True)
class Rating:
    """What a model is rated for; None: not stated.

    highest_c                 temperature in degrees Celsius that it may reach
    workload_tb_per_year      bytes read and written together, in 10^12 a year
    """

    highest_c: float | None = None
    workload_tb_per_year: float | None = None

    def __post_init__(self) -> None:
        """Refuse what no rating is, with `QuestionError`."""
        heat, work = self.highest_c, self.workload_tb_per_year
        if heat is not None and not math.isfinite(heat):
            raise QuestionError(f"A highest temperature of {heat} degrees is none; give a number.")
        if work is not None and not 0 < work < math.inf:
            raise QuestionError(f"A workload of {work} TB a year is none; give a number above 0.")

    def covers(self, signal: str) -> bool:
        """Whether there is a rating that this signal is held against."""
        heat, work = self.highest_c is not None, self.workload_tb_per_year is not None
        return {"temperature": heat, "workload": work}.get(signal, heat or work)


@dataclass(frozen=True, slots=True)
class StateCell:
    """Drive-days and failures of one model in one state and age band; no band where the age is unknown."""

    model: str
    state: str
    age_from_days: int | None
    age_to_days: int | None
    drive_days: int
    failures: int

    @property
    def rate(self) -> Rate:
        """Failures per drive-year, with what it was made from."""
        return Rate(self.failures, self.drive_days)


@dataclass(frozen=True, slots=True)
class Warned:
    """Who had a warning of a counter, of those that had reported it.

    lead_days   of each failure: days from the first warning to it; None if there was none before that day
    in_service  drives in service at the end
    warned      those of them that have a warning and did not fail
    """

    lead_days: tuple[int | None, ...]
    in_service: int
    warned: int


@dataclass(frozen=True, slots=True)
class SignalHistory:
    """What became of drives in each state of one signal.

    cells   all drive-days and failures of the window, each in one cell
    risks   by model and state, unexposed and exposed: spans of known age, counted by age
    warned  None for a signal that is no counter
    """

    signal: str
    cells: tuple[StateCell, ...]
    risks: Mapping[tuple[str, str], RiskTable]
    warned: Warned | None

    def rate(self, state: str, model: str | None = None) -> Rate:
        """Pool the cells of a state, of one model or of all. Raises QuestionError for a state that there is not."""
        if state not in STATES:
            raise QuestionError(f"There is no state {state!r}; the states are {', '.join(STATES)}.")
        of_state = (c.rate for c in self.cells if c.state == state and model in (None, c.model))
        return sum(of_state, Rate(0, 0))

    @property
    def of_unknown_age(self) -> Rate:
        """What cannot be compared at like ages: drives of unknown age in the two states that are compared."""
        cells = (c.rate for c in self.cells if c.age_from_days is None and c.state in (UNEXPOSED, EXPOSED))
        return sum(cells, Rate(0, 0))

    def __str__(self) -> str:
        """One line: the rate in each of the two states."""
        return f"{self.signal}: {self.rate(EXPOSED)} exposed, {self.rate(UNEXPOSED)} unexposed"

    def to_frame(self) -> pd.DataFrame:
        """A row a cell: model, state, age band in days, drive_days, failures; no band where the age is unknown."""
        import pandas as pd  # noqa: PLC0415  (a frame is loaded only where people look at one)

        frame = pd.DataFrame([asdict(cell) for cell in self.cells])
        bands = {"age_from_days": "Int64", "age_to_days": "Int64"}
        return frame.astype(bands) if len(frame) else frame


def signal_histories(  # noqa: PLR0913  (each is one thing that the question needs)
    engine: Engine,
    models: Iterable[str],
    *,
    model_names: Sequence[tuple[str, str]],
    ratings: Mapping[str, Rating],
    window: tuple[date, date],
    band_ends: Sequence[int],
) -> tuple[SignalHistory, ...]:
    """Ask an engine that has `lives` and `stays` for every signal.

    models       those to look at, as shown
    model_names  each spelling as read, with the name shown
    ratings      by name shown
    window       first and last day, both included
    """
    chosen = sorted(set(models))
    engine.hold("model_names", "model_read string, model string", [n for n in model_names if n[1] in chosen])
    engine.hold("error_counters", "signal string", [(name,) for name in ERROR_COUNTERS])
    engine.hold(
        "ratings",
        "model string, highest_c double, bytes_per_year double",
        [(model, *_limits(ratings.get(model, Rating()))) for model in chosen],
    )
    engine.hold("first_states", "model string, signal string, state string", _first_states(chosen, ratings))
    engine.hold("bands", "from_days int, to_days int", list(pairwise((0, *band_ends, None))))
    days = dict(zip(("first_day", "last_day"), window, strict=True))
    parameters: dict[str, dict[str, object]] = {
        "rated_months": {"days_per_year": DAYS_PER_YEAR},
        "state_spans": {**days},
    }
    for step in _READY:
        engine.make(step, f"questions/signals/{step}", **parameters.get(step, {}))
    cells = _by_signal(engine.ask("questions/signals/state_cells"))
    risks = _by_signal(engine.ask("questions/signals/state_risks"))
    leads = _by_signal(engine.ask("questions/signals/warned_failures", **days))
    standing = _by_signal(engine.ask("questions/signals/warned_in_service", last_day=window[1]))
    return tuple(
        SignalHistory(
            signal,
            tuple(StateCell(*row) for row in cells.get(signal, ())),
            _risk_tables(risks.get(signal, ())),
            _warned(leads.get(signal, ()), standing.get(signal, ())) if signal in COUNTER_SIGNALS else None,
        )
        for signal in SIGNALS
    )


def _limits(rating: Rating) -> tuple[float | None, float | None]:
    workload = rating.workload_tb_per_year
    return rating.highest_c, None if workload is None else workload * BYTES_PER_TB


def _first_states(models: Iterable[str], ratings: Mapping[str, Rating]) -> list[tuple[str, str, str]]:
    """The state of each signal before anything was read."""
    return [
        (
            model,
            signal,
            NOT_REPORTED
            if signal in COUNTER_SIGNALS or ratings.get(model, Rating()).covers(signal)
            else NOT_RATED,
        )
        for model in models
        for signal in SIGNALS
    ]


def _by_signal(rows: Sequence[tuple[Any, ...]]) -> dict[str, list[tuple[Any, ...]]]:
    """Rows that begin with a signal and stand in its order, without it."""
    return {signal: [row[1:] for row in group] for signal, group in groupby(rows, key=lambda row: row[0])}


def _warned(leads: Sequence[tuple[int | None]], standing: Sequence[tuple[int, int]]) -> Warned:
    return Warned(tuple(lead for (lead,) in leads), *(standing[0] if standing else (0, 0)))


def _risk_tables(rows: Sequence[tuple[str, str, int, int, int, int]]) -> dict[tuple[str, str], RiskTable]:
    import numpy as np  # noqa: PLC0415  (rates need none of it)

    from reliability.risk_table import RiskTable  # noqa: PLC0415  (the same)

    tables = {}
    for key, group in groupby(rows, key=lambda row: row[:2]):
        age, entered, failed, left = np.array([row[2:] for row in group], dtype=np.int64).T
        none = np.zeros_like(age)
        tables[key] = RiskTable(age, entered, failed, none, none, left, exact=False)
    return tables
