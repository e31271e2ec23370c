"""Forecasts for every model of a store, and for quarters past as they would have been made then."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from typing import TYPE_CHECKING, Protocol

import numpy as np

from reliability.comparer.batches import qualifies
from reliability.comparer.homogeneity import pearson_index
from reliability.digits import significant
from reliability.forecast.backtest import Backtest, Trial
from reliability.forecast.model import Forecast, forecast, together
from reliability.in_service import in_service
from reliability.quarter import Quarter

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from reliability.loaders.exposure import Exposure
    from reliability.loaders.standing import Standing
    from reliability.rate import Rate
    from reliability.risk_table import RiskTable

LABELS = ("batch", "rack", "site")
SEED = 90  # of the draws, so that the same store gives the same numbers
LEAST_DAYS_BEFORE = 90  # of data, for a quarter to be tried
EXPECTED = (
    "Expected: on average over all rates that the past leaves possible, so above 0 also where nothing has failed yet. "
    "Spares for all together serve any model, and are no sum of the rows."
)
CAUTION = (
    "No drive that fails is replaced in the forecast. It holds for the duty, temperature and handling of the past, "
    "and for drives that stay: one that is retired can no longer fail. It speaks of fleets and predicts no single "
    "drive. Spares and redundancy are no backup."
)


class Fleet(Protocol):
    """What forecasts ask of a store."""

    @property
    def first_day(self) -> date:
        """The first day of the data."""

    @property
    def last_day(self) -> date:
        """The last day of the data."""

    def exposure(
        self, by: Sequence[str] = ..., first_day: date | None = ..., last_day: date | None = ...
    ) -> Exposure:
        """Drive-days and failures by cell within a window of days."""

    def risk_tables(self, last_day: date | None = ...) -> Mapping[str, RiskTable]:
        """Counts by age of each model's lives, as they stood on a day."""

    def standing(self, last_day: date | None = ..., failed_by: date | None = ...) -> dict[str, Standing]:
        """Drives in service at a day, by model, and those of them that failed by another."""


@dataclass(frozen=True, slots=True, eq=False)
class FleetForecast:
    """Failures to come after a day, by model in alphabetical order and in total."""

    last_day: date
    days: int
    models: dict[str, Forecast]
    total: Forecast

    @property
    def notes(self) -> tuple[str, ...]:
        """What must be known with the numbers, and what it is that some of them rest on."""
        found = self.models.items()
        told = {
            "Of unknown age, and counted at the constant rate of their model": [
                f"{each.unknown_age:,} of {model}" for model, each in found if each.unknown_age
            ],
            "Extrapolated, since they grow older than any age at which 10 drives were seen": [
                f"{each.beyond:,} of {model}" for model, each in found if each.beyond
            ],
            "Widened, since failures spread between batches, racks or sites by more than chance (Pearson index)": [
                f"{significant(each.dispersion)} for {model}" for model, each in found if each.dispersion > 1
            ],
        }
        return (
            EXPECTED,
            *(f"{what}: {', '.join(models)}." for what, models in told.items() if models),
            CAUTION,
        )


def forecast_fleet(  # noqa: PLR0913  (those with defaults seldom need another)
    store: Fleet,
    days: int,
    *,
    last_day: date | None = None,
    models: Sequence[str] = (),
    service: float = 0.95,
    tables: Mapping[str, RiskTable] | None = None,
) -> FleetForecast:
    """Forecast each model, from what was known at the end of a day.

    last_day  without one, the last of the data
    models    by default all that had exposure by then, of which there has to be one
    tables    counts by age up to that day, by model, where they are at hand

    Failures that spread between batches, racks or sites widen a model's forecast, by the label under which they
    spread furthest.
    """
    day = min(last_day or store.last_day, store.last_day)
    standing = store.standing(day)
    rates = {str(cell.labels["model"]): cell.rate for cell in store.exposure(("model",), last_day=day).cells}
    lives = store.risk_tables(last_day=day) if tables is None else tables
    dispersions = _dispersions(store, day)
    found = {
        model: forecast(
            lives[model],
            standing[model].drives if model in standing else in_service([]),
            days,
            rng=np.random.default_rng(SEED),
            rate=rates[model],
            service=service,
            dispersion=dispersions.get(model, 1.0),
        )
        for model in sorted(rates)
        if not models or model in models
    }
    return FleetForecast(day, days, found, together(list(found.values())))


def _dispersions(store: Fleet, last_day: date) -> dict[str, float]:
    """For each model, the largest Pearson index over the labels that group its drives, if above 1."""
    found: dict[str, float] = {}
    for label in LABELS:
        groups: dict[str, list[Rate]] = {}
        for cell in store.exposure(("model", label), last_day=last_day).cells:
            if cell.labels[label] is not None and cell.drive_days:
                groups.setdefault(str(cell.labels["model"]), []).append(cell.rate)
        for model, rates in groups.items():
            if qualifies(rates):
                found[model] = max(found.get(model, 1.0), pearson_index(rates))
    return found


def backtest_fleet(
    store: Fleet, *, models: Sequence[str] = (), service: float = 0.95, most: int | None = None
) -> Backtest:
    """Forecast each whole quarter past as it would have been on the day before it, and count what failed in it.

    most  quarters, the latest; by default all that had 90 days of data before them
    """
    quarters = _quarters(store)
    latest = quarters if most is None else quarters[max(0, len(quarters) - most) :]
    tried = [_trials(store, quarter, models, service) for quarter in latest]
    return Backtest(
        together=tuple(trials[0] for trials in tried if trials),
        models=tuple(trial for trials in tried for trial in trials[1:]),
    )


def _quarters(store: Fleet) -> list[Quarter]:
    """Whole quarters of the data that have days enough before them."""
    quarter = Quarter.of(store.first_day)
    while (quarter.first_day - store.first_day).days < LEAST_DAYS_BEFORE:
        quarter = quarter.next()
    found = []
    while quarter.last_day <= store.last_day:
        found.append(quarter)
        quarter = quarter.next()
    return found


def _trials(store: Fleet, quarter: Quarter, models: Sequence[str], service: float) -> list[Trial]:
    """All together, then each model that had drives in service; nothing if none had."""
    eve = quarter.first_day - timedelta(days=1)
    days = (quarter.last_day - eve).days
    made = forecast_fleet(store, days, last_day=eve, models=models, service=service)
    failed = {model: each.failed for model, each in store.standing(eve, quarter.last_day).items()}
    each = [
        Trial(quarter, model, found, failed[model])
        for model, found in made.models.items()
        if found.in_service
    ]
    total = Trial(quarter, None, made.total, sum(trial.observed for trial in each))
    return [total, *each] if each else []
