"""Forecasts made from the data of a day in the past, held against what failed afterwards."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from reliability.binomial import clopper_pearson_interval

if TYPE_CHECKING:
    from collections.abc import Sequence

    import pandas as pd

    from reliability.forecast.model import Forecast
    from reliability.interval import Interval
    from reliability.quarter import Quarter

_PARTS = 4  # of a forecast's distribution, each of the same chance


@dataclass(frozen=True, slots=True, eq=False)
class Trial:
    """What was forecast for the drives in service as a quarter began, and how many of them failed in it.

    model  None for all of them together
    """

    quarter: Quarter
    model: str | None
    forecast: Forecast
    observed: int

    @property
    def place(self) -> str:
        """Where the failures lie: below, inside or above the limits."""
        limits = self.forecast.interval
        if limits.contains(self.observed):
            return "inside"
        return "below" if self.observed < limits.low else "above"


@dataclass(frozen=True, slots=True)
class Calibration:
    """How trials fell out.

    below, inside, above  how many
    share                 limits of the chance to be inside, were the trials independent
    fourths               share of the trials in each fourth of what was forecast, the lowest first; near a fourth
                          each if the forecasts hold
    spares                how many had no more failures than the spares
    """

    below: int
    inside: int
    above: int
    share: Interval
    fourths: tuple[float, ...]
    spares: int

    @property
    def trials(self) -> int:
        """How many there were."""
        return self.below + self.inside + self.above


@dataclass(frozen=True, slots=True, eq=False)
class Backtest:
    """Trials of quarters past: of all models together, and of each."""

    together: tuple[Trial, ...]
    models: tuple[Trial, ...]

    def to_frame(self) -> pd.DataFrame:
        """One row a trial, a missing model for all together: forecast, limits, failures, where they lie."""
        import pandas as pd  # noqa: PLC0415  (a frame is loaded only where people look at one)

        return pd.DataFrame(
            [
                {
                    "quarter": str(each.quarter),
                    "model": each.model,
                    "in_service": each.forecast.in_service,
                    "expected": each.forecast.expected,
                    "low": int(each.forecast.interval.low),
                    "high": int(each.forecast.interval.high),
                    "observed": each.observed,
                    "place": each.place,
                }
                for each in (*self.together, *self.models)
            ]
        )


def calibration(trials: Sequence[Trial], level: float = 0.95) -> Calibration | None:
    """Sum up trials; None if there are none.

    level  of the limits of the share

    A count has a chance of its own, so it does not fall on one point of the distribution but on a stretch as long as
    that chance. Each trial is spread evenly over its stretch, which makes the fourths exact without a draw.
    Source: Czado, Gneiting & Held (2009), Biometrics 65; from memory.
    """
    if not trials:
        return None
    places = [each.place for each in trials]
    inside = places.count("inside")
    return Calibration(
        below=places.count("below"),
        inside=inside,
        above=places.count("above"),
        share=clopper_pearson_interval(inside, len(trials), level),
        fourths=_fourths(trials),
        spares=sum(each.observed <= each.forecast.spares for each in trials),
    )


def _fourths(trials: Sequence[Trial]) -> tuple[float, ...]:
    edges = np.linspace(0, 1, _PARTS + 1)
    filled = np.zeros(_PARTS)
    for trial in trials:
        counts = trial.forecast.counts
        begin, end = counts.at_most(trial.observed - 1), counts.at_most(trial.observed)
        begin = min(begin, np.nextafter(end, 0))  # a count that was thought impossible lies at the end
        filled += np.diff(np.clip((edges - begin) / (end - begin), 0, 1))
    return tuple((filled / len(trials)).tolist())
