"""How each model ages, up to the report's last day: what the section on survival tells."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from reliability.curve import in_days
from reliability.digits import counted
from reliability.survival.ageing import Ageing, ageing
from reliability.survival.kaplan_meier import SurvivalAt, survival_at
from reliability.units import DAYS_PER_YEAR

if TYPE_CHECKING:
    from collections.abc import Mapping

    from reliability.risk_table import RiskTable

YEARS = (1, 2, 3, 4, 5)  # at which the table tells survival
_YOUNG = (91, 182, 274)  # whole days of 3, 6 and 9 months
_MOST_TICKS = 5


@dataclass(frozen=True, slots=True, eq=False)
class ModelAgeing:
    """One model's risk table and what follows from it.

    ages     in days, at which the axis of the figures has a tick: whole years, months below one year
    at_risk  drives at risk at each of them: entry < age <= exit
    """

    model: str
    found: Ageing
    ages: tuple[int, ...]
    at_risk: tuple[int, ...]

    @property
    def failed(self) -> bool:
        """Whether a drive of known age failed, so that there is a curve to draw."""
        return self.found.table.failures > 0

    @property
    def given(self) -> str:
        """From where on the curve tells, if that is not age 0."""
        start = self.found.curve.from_age
        return f"given alive at age {in_days(start)}" if start else ""

    @property
    def heading(self) -> str:
        """What stands under the model's name over its figures."""
        failures = counted(self.found.table.failures, "failure")
        return f"{failures}, {self.given}" if self.given else failures

    @property
    def notes(self) -> tuple[str, ...]:
        """What the curve says of itself, but for where it starts, which the heading says."""
        return self.found.curve.notes[1 if self.given else 0 :]

    @property
    def known(self) -> str:
        """The sentence on a model of which no drive failed at a known age."""
        return self.found.curve.notes[-1]

    @property
    def at(self) -> tuple[SurvivalAt, ...]:
        """Survival at whole years; where the figure does not show the curve, only the number at risk."""
        until = self.found.curve.until_age or 0
        return tuple(
            each if each.age_days <= until else SurvivalAt(each.age_days, each.at_risk, None, None, None)
            for each in self.found.at
        )


@dataclass(frozen=True, slots=True, eq=False)
class SurvivalByModel:
    """All models, in the order of the report."""

    models: tuple[ModelAgeing, ...]

    @property
    def drawn(self) -> tuple[ModelAgeing, ...]:
        """Those with a failure at a known age."""
        return tuple(each for each in self.models if each.failed)

    @property
    def untold(self) -> tuple[ModelAgeing, ...]:
        """The others, each told in a sentence."""
        return tuple(each for each in self.models if not each.failed)


def survival_by_model(tables: Mapping[str, RiskTable], level: float) -> SurvivalByModel:
    """Estimate how each model ages, from its counts by age."""
    return SurvivalByModel(tuple(_one(model, table, level) for model, table in tables.items()))


def _one(model: str, table: RiskTable, level: float) -> ModelAgeing:
    found = ageing(table, [DAYS_PER_YEAR * year for year in YEARS], level)
    ages = tick_ages(found.curve.until_age)
    return ModelAgeing(model, found, ages, tuple(each.at_risk for each in survival_at(table, ages, level)))


def tick_ages(until: float | None) -> tuple[int, ...]:
    """Whole years up to an age in days, thinned to a handful; three-month steps if it is below one year.

    >>> tick_ages(1872), tick_ages(227), tick_ages(3000), tick_ages(None)
    ((365, 730, 1095, 1460, 1825), (91, 182), (730, 1460, 2190, 2920), ())
    """
    if until is None:
        return ()
    years = int(until) // DAYS_PER_YEAR
    if not years:
        return tuple(age for age in _YOUNG if age <= until)
    apart = -(-years // _MOST_TICKS)
    return tuple(DAYS_PER_YEAR * year for year in range(apart, years + 1, apart))
