"""How a model ages: everything that its risk table says, estimated at once."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from reliability.survival.band_fit import BandFit, band_fit
from reliability.survival.cumulative_incidence import CumulativeIncidence, cumulative_incidence
from reliability.survival.hazard import Hazard, hazard
from reliability.survival.kaplan_meier import SurvivalAt, kaplan_meier, survival_at
from reliability.survival.weibull import weibull
from reliability.survival.weibull_life import Weibull, WeibullRefused

if TYPE_CHECKING:
    from collections.abc import Sequence

    from reliability.curve import Curve
    from reliability.risk_table import RiskTable


@dataclass(frozen=True, slots=True, eq=False)
class Ageing:
    """A risk table and what follows from it.

    weibull, refused  one of them is None: a fit, or why there is none
    fit               how the fit agrees with the failures by age band; None without a fit
    """

    table: RiskTable
    curve: Curve
    at: tuple[SurvivalAt, ...]
    incidence: CumulativeIncidence
    hazard: Hazard
    weibull: Weibull | None
    refused: WeibullRefused | None
    fit: BandFit | None


def ageing(table: RiskTable, ages: Sequence[float] = (), level: float = 0.95) -> Ageing:
    """Estimate survival, incidence, hazard by age band and a Weibull life.

    ages   in days, at which survival is told
    level  of all limits

    >>> from reliability.risk_table import risk_table
    >>> found = ageing(risk_table([0] * 3, [40, 90, 90], ["failed", "failed", "in service"]), ages=[50])
    >>> round(found.at[0].survival, 3), found.hazard.bands[0].rate.failures
    (0.667, 2)
    """
    life = weibull(table, level)
    fitted = life if isinstance(life, Weibull) else None
    return Ageing(
        table=table,
        curve=kaplan_meier(table, level),
        at=survival_at(table, ages, level),
        incidence=cumulative_incidence(table),
        hazard=hazard(table, level=level),
        weibull=fitted,
        refused=life if isinstance(life, WeibullRefused) else None,
        fit=None if fitted is None else band_fit(table, fitted),
    )
