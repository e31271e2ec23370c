"""The failure rate that a question is asked for: given as one number, or that of a model of the fleet."""

from __future__ import annotations

import math
from dataclasses import dataclass
from pathlib import Path

from reliability.cli.models_asked import models_asked
from reliability.digits import counted, percent
from reliability.errors import QuestionError
from reliability.loaders.store import open_store
from reliability.units import HOURS_PER_YEAR

LEVEL = 0.95


@dataclass(frozen=True, slots=True)
class RateAsked:
    """Failures per drive-year with their limits.

    exact  whether it was given as one number; then both limits are that number
    told   what is to be said about it, a sentence each
    """

    per_year: float
    low: float
    high: float
    exact: bool
    told: tuple[str, ...]


def rate_asked(afr_percent: float | None, model: str | None, store: Path) -> RateAsked:
    """The rate given by --afr-percent, or that of --model in the store.

    Raises QuestionError if it is given by both, by neither, or is no rate; and what the store is wrong with.
    """
    if (afr_percent is None) == (model is None):
        given = "neither was given" if model is None else "both were given"
        raise QuestionError(
            f"The rate is --afr-percent or that of --model, and {given}; give one of the two."
        )
    if model is not None:
        return _of_model(model, store)
    assert afr_percent is not None  # noqa: S101  (held above; this tells mypy)
    if not 0 <= afr_percent < math.inf:
        raise QuestionError(f"--afr-percent {afr_percent} is no rate; give a number, 0 or more.")
    rate = afr_percent / 100
    if rate > HOURS_PER_YEAR:
        raise QuestionError(
            f"--afr-percent {afr_percent:g} is more than a failure an hour for each drive; give percent a year."
        )
    told = (
        f"The AFR of {percent(rate)} % is taken as exact; "
        "with --model, the limits of a fleet's rate are carried through."
    )
    return RateAsked(rate, rate, rate, exact=True, told=(told,))


def _of_model(model: str, folder: Path) -> RateAsked:
    store = open_store(folder)
    cells = {str(cell.labels["model"]): cell for cell in store.exposure().cells}
    (name,) = models_asked(store, [model])
    rate = cells[name].rate
    interval = rate.interval(LEVEL)
    told = [f"{name}: {rate}."]
    vanished = next(each.vanished for each in store.outcomes() if each.model == name)
    if vanished:
        told.append(
            f"{counted(vanished, 'drive')} of it vanished and {'counts' if vanished == 1 else 'count'} as not failed, "
            "so the rate may be higher; `driveyears compare` tells the bounds."
        )
    return RateAsked(rate.per_year or 0.0, interval.low, interval.high, exact=False, told=tuple(told))
