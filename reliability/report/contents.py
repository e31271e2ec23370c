"""All that a report says, as frozen data: here the store's counts and the mathematics meet."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Protocol

import numpy as np

from reliability.comparer.ranking import rank
from reliability.comparer.vanished import taken_as_censored
from reliability.errors import QuestionError
from reliability.quarter import Quarter
from reliability.report.accounts import DataAccounts
from reliability.report.cautions import cautions
from reliability.report.forecasts import FleetForecast, forecast_fleet
from reliability.report.grids import AgeBand, Grid, by_age, by_quarter, quarters_up_to
from reliability.report.model_lines import SEED, ModelLine, headline, look_of, model_lines
from reliability.report.opening import opening_notes
from reliability.report.reproduction import Reproduction, reproduction
from reliability.report.seen import seen_of
from reliability.report.side_by_side import SideBySide, models_of
from reliability.report.survival import SurvivalByModel, survival_by_model
from reliability.report.unknown_age import UnknownAge
from reliability.units import drive_years

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from datetime import date

    from reliability.comparer.running import Fixed
    from reliability.datasheet import Datasheet
    from reliability.loaders.accounts import (
        Accounts,
        Bridged,
        CheckTotal,
        Outcomes,
        SetAside,
        Silent,
        SourceAccount,
    )
    from reliability.loaders.exposure import Exposure
    from reliability.loaders.reasons import Retirements
    from reliability.loaders.standing import Standing
    from reliability.rate import Rate
    from reliability.risk_table import RiskTable

LEVEL = 0.95
MOST_QUARTERS = 8  # shown up to the report's own: two years


class Store(Protocol):
    """What a report asks of a store."""

    @property
    def first_day(self) -> date:
        """The first day of the data."""

    @property
    def last_day(self) -> date:
        """The last day of the data."""

    @property
    def failed_means(self) -> str:
        """How the source says that a drive failed, in words."""

    def exposure(
        self, by: Sequence[str] = ..., first_day: date | None = ..., last_day: date | None = ...
    ) -> Exposure:
        """Drive-days and failures by cell within a window of days."""

    def outcomes(self, last_day: date | None = ...) -> tuple[Outcomes, ...]:
        """How each drive stood on a day, by model."""

    def retirements(
        self, first_day: date | None = ..., last_day: date | None = ...
    ) -> tuple[Retirements, ...]:
        """Lives retired in a window of days, by model and by what their reasons tell."""

    def risk_tables(self, last_day: date | None = ...) -> Mapping[str, RiskTable]:
        """Counts by age of each model's lives, as they stood on a day."""

    def standing(self, last_day: date | None = ..., failed_by: date | None = ...) -> dict[str, Standing]:
        """Drives in service at a day, by model."""

    def accounts(self) -> Accounts:
        """Count the whole store."""

    def sources(self) -> tuple[SourceAccount, ...]:
        """Each file that was read."""

    def set_aside(self) -> tuple[SetAside, ...]:
        """Each file that could not be used."""

    def findings(self) -> tuple[CheckTotal, ...]:
        """Total what each check found."""

    def bridged(self) -> Bridged:
        """Absences that count as exposure."""

    def silent(self) -> tuple[Silent, ...]:
        """Drives whose whole site fell silent."""


@dataclass(frozen=True, slots=True)
class Contents:
    """A report's numbers, in the order in which the page tells them."""

    quarter: Quarter
    first_day: date  # of the exposure behind every verdict
    last_day: date  # of the same: the quarter's last, or the data's if they end before it
    level: float
    material: float  # how many times the stated rate a verdict of consistent excludes
    headline: str
    notes: tuple[str, ...]  # on the window, the unit and the kind of look
    drives: int
    in_service: int
    rate: Rate  # of the whole fleet
    lines: tuple[ModelLine, ...]
    side_by_side: SideBySide
    by_quarter: Grid[Quarter]
    by_age: Grid[AgeBand]
    survival: SurvivalByModel
    forecast: FleetForecast  # of the quarter that follows
    unknown_age: UnknownAge
    accounts: DataAccounts
    cautions: tuple[str, ...]
    reproduction: Reproduction

    @property
    def look(self) -> str:
        """By what kind of look the verdicts go."""
        return look_of(self.lines)

    @property
    def runs(self) -> bool:
        """Whether any running comparison has begun."""
        return any(line.running is not None for line in self.lines)


def gather(  # noqa: PLR0913  (the last three have defaults that fit)
    store: Store,
    datasheets: Sequence[Datasheet],
    quarter: Quarter,
    *,
    command: str,
    material: float = 2.0,
    running: Mapping[str, Fixed] | None = None,
    note: str | None = None,
) -> Contents:
    """Ask the store all that the report on a quarter needs, and hold each model against its datasheet.

    command    the command line that makes this report again
    material   how many times the stated rate counts as a material excess
    running    what the running comparisons fixed, by model; a model without one is judged as by a single look
    note       one more for the opening

    Verdicts speak of the exposure from the store's first day to the quarter's last. A quarter of which the
    store has no day is a QuestionError.
    """
    first_day, data_end, last_day = store.first_day, store.last_day, quarter.last_day
    check_quarter(quarter, first_day, data_end)
    quarters = quarters_up_to(quarter, Quarter.of(first_day), MOST_QUARTERS)
    models = store.exposure(("model",), last_day=last_day)
    quarterly = store.exposure(("model", "quarter"), first_day=quarters[0].first_day, last_day=last_day)
    ages = store.exposure(("model", "age"), last_day=last_day)
    outcomes = store.outcomes(last_day=last_day)
    vanished = {each.model: each.vanished for each in outcomes}
    seen = seen_of(
        store,
        models,
        vanished,
        fixed=running or {},
        pace=_pace(quarterly, quarter),
        last_day=last_day,
    )
    lines = model_lines(seen, datasheets, level=LEVEL, material=material, rng=np.random.default_rng(SEED))
    stated = {line.model: line.stated for line in lines}
    tables = store.risk_tables(last_day=last_day)
    return Contents(
        quarter=quarter,
        first_day=first_day,
        last_day=min(last_day, data_end),
        level=LEVEL,
        material=material,
        headline=headline(lines),
        notes=opening_notes(
            quarter, first_day, data_end, level=LEVEL, material=material, running=bool(running)
        )
        + ((note,) if note else ()),
        drives=models.total.drives,
        in_service=sum(each.in_service for each in outcomes),
        rate=models.total.rate,
        lines=lines,
        side_by_side=SideBySide(
            rank(models_of(models, ages), rng=np.random.default_rng(SEED), level=LEVEL),
            taken_as_censored(vanished),
        ),
        by_quarter=by_quarter(quarterly.cells, quarters, stated, LEVEL),
        by_age=by_age(ages.cells, stated, LEVEL),
        survival=survival_by_model(
            {
                line.model: tables[line.model]
                for line in lines
                if line.seen.drives  # a datasheet without drives is no model of the store
            },
            LEVEL,
        ),
        forecast=forecast_fleet(store, quarter.next().days, last_day=last_day, tables=tables),
        unknown_age=UnknownAge(ages.left_out.drives, ages.left_out.rate, ages.total.failures),
        accounts=DataAccounts(
            store.accounts(), store.set_aside(), store.bridged(), store.findings(), store.silent()
        ),
        cautions=cautions(store.failed_means),
        reproduction=reproduction(command, store.sources()),
    )


def check_quarter(quarter: Quarter, first_day: date, last_day: date) -> None:
    """Refuse, with `QuestionError`, a quarter of which data from one day to another have none."""
    if quarter.last_day < first_day or quarter.first_day > last_day:
        first, last = Quarter.of(first_day), Quarter.of(last_day)
        choice = str(first) if first == last else f"a quarter from {first} to {last}"
        raise QuestionError(
            f"The store has no day of {quarter}: its data go from {first_day} to {last_day}. "
            f"Ask for {choice}, or load the files of {quarter} first."
        )


def _pace(quarterly: Exposure, quarter: Quarter) -> dict[str, float]:
    own = [cell for cell in quarterly.cells if cell.labels["quarter"] == str(quarter)]
    return {str(cell.labels["model"]): drive_years(cell.drive_days) for cell in own}
