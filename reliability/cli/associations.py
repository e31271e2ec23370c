"""Where the histories of signals meet the mathematics: each signal with its ratios and its warnings."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from reliability.comparer.ratios import Ratio, exact_ratio
from reliability.loaders.signals import EXPOSED, UNEXPOSED, SignalHistory
from reliability.signals.cox import cox_hazard_ratio
from reliability.signals.hazard_ratio import HazardRatio, Refused, disagree
from reliability.signals.split_rates import SplitRate, poisson_hazard_ratio
from reliability.signals.warning import Warnings, warnings

if TYPE_CHECKING:
    from reliability.rate import Rate


@dataclass(frozen=True, slots=True)
class Association:
    """How one signal goes with failure.

    crude     exact ratio of the two rates, ages and models not allowed for; None if a state has no exposure
    by_rates  from Poisson regression; by_cox from Cox regression; None if a state has no exposure
    warnings  None for a signal that is no counter
    """

    history: SignalHistory
    crude: Ratio | None
    by_rates: HazardRatio | Refused | None
    by_cox: HazardRatio | Refused | None
    warnings: Warnings | None

    @property
    def agree(self) -> bool | None:
        """Whether the two regressions leave the same answer; None unless there are both."""
        if isinstance(self.by_rates, HazardRatio) and isinstance(self.by_cox, HazardRatio):
            return not disagree(self.by_rates, self.by_cox)
        return None

    @property
    def refused(self) -> str | None:
        """Why there is no ratio that allows for age and model, or not by both ways."""
        reasons = [found.reason for found in (self.by_rates, self.by_cox) if isinstance(found, Refused)]
        return " ".join(dict.fromkeys(reasons)) or None

    @property
    def reported(self) -> bool:
        """Whether any drive-day is in one of the two states."""
        return any(self.rate(state).drive_days for state in (UNEXPOSED, EXPOSED))

    def rate(self, state: str) -> Rate:
        """Pool a state over all models and ages."""
        return self.history.rate(state)


def association(history: SignalHistory, *, level: float) -> Association:
    """Compare the two states of a signal in each way there is."""
    unexposed, exposed = history.rate(UNEXPOSED), history.rate(EXPOSED)
    both = bool(unexposed.drive_days and exposed.drive_days)
    warned = history.warned
    return Association(
        history=history,
        crude=exact_ratio(exposed, unexposed, level=level) if both else None,
        by_rates=poisson_hazard_ratio(_split(history), level=level) if both else None,
        by_cox=_by_cox(history, level) if both else None,
        warnings=None
        if warned is None
        else warnings(warned.lead_days, warned.in_service, warned.warned, level=level),
    )


def _split(history: SignalHistory) -> list[SplitRate]:
    return [
        SplitRate(cell.model, cell.age_from_days, cell.state == EXPOSED, cell.rate)
        for cell in history.cells
        if cell.age_from_days is not None and cell.state in (UNEXPOSED, EXPOSED)
    ]


def _by_cox(history: SignalHistory, level: float) -> HazardRatio | Refused:
    risks = history.risks
    models = sorted({model for model, _ in risks})
    strata = [(risks.get((model, UNEXPOSED)), risks.get((model, EXPOSED))) for model in models]
    return cox_hazard_ratio([(u, e) for u, e in strata if u is not None and e is not None], level=level)
