"""Ask of a fleet whether a hard drive model keeps its stated failure rate.

The public names, and nothing else. Each is loaded when it is first used, so that importing the package costs nothing.

>>> import reliability as rel
>>> print(rel.compare(rel.Rate(failures=4, drive_days=365_000), stated=0.0035).verdict.value)
too little
"""

from __future__ import annotations

import sys
from importlib import import_module
from types import ModuleType
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from reliability.comparer.preemptive import PreemptiveBounds, preemptive_bounds
    from reliability.comparer.running import Mixture, compare_running
    from reliability.comparer.spending import PlannedLooks, compare_planned
    from reliability.comparer.stated import Comparison, Verdict, compare
    from reliability.comparer.vanished import VanishedBounds, vanished_bounds
    from reliability.datasheet import Datasheet, read_datasheets
    from reliability.errors import DriveyearsError, InvalidLife
    from reliability.figures.drawing import draw
    from reliability.forecast import Forecast, forecast
    from reliability.in_service import InService, in_service
    from reliability.interval import Interval
    from reliability.loaders.load import load
    from reliability.loaders.mapping import read_mapping
    from reliability.loaders.signals import Rating, SignalHistory
    from reliability.loaders.store import Store, open_store
    from reliability.quarter import Quarter
    from reliability.rate import Rate
    from reliability.risk_table import RiskTable, risk_table
    from reliability.signals.cox import cox_hazard_ratio
    from reliability.signals.hazard_ratio import HazardRatio
    from reliability.survival.cumulative_incidence import cumulative_incidence
    from reliability.survival.hazard import hazard
    from reliability.survival.kaplan_meier import kaplan_meier, survival_at
    from reliability.survival.logrank import logrank
    from reliability.survival.nelson_aalen import nelson_aalen
    from reliability.survival.weibull import weibull
    from reliability.survival.weibull_life import Weibull, WeibullRefused

_HOMES = {
    "Comparison": "comparer.stated",
    "Datasheet": "datasheet",
    "DriveyearsError": "errors",
    "Forecast": "forecast",
    "HazardRatio": "signals.hazard_ratio",
    "InService": "in_service",
    "Interval": "interval",
    "InvalidLife": "errors",
    "Mixture": "comparer.running",
    "PlannedLooks": "comparer.spending",
    "PreemptiveBounds": "comparer.preemptive",
    "Quarter": "quarter",
    "Rate": "rate",
    "Rating": "loaders.signals",
    "RiskTable": "risk_table",
    "SignalHistory": "loaders.signals",
    "Store": "loaders.store",
    "VanishedBounds": "comparer.vanished",
    "Verdict": "comparer.stated",
    "Weibull": "survival.weibull_life",
    "WeibullRefused": "survival.weibull_life",
    "compare": "comparer.stated",
    "compare_planned": "comparer.spending",
    "compare_running": "comparer.running",
    "cox_hazard_ratio": "signals.cox",
    "cumulative_incidence": "survival.cumulative_incidence",
    "draw": "figures.drawing",
    "forecast": "forecast",
    "hazard": "survival.hazard",
    "in_service": "in_service",
    "kaplan_meier": "survival.kaplan_meier",
    "load": "loaders.load",
    "logrank": "survival.logrank",
    "nelson_aalen": "survival.nelson_aalen",
    "open_store": "loaders.store",
    "preemptive_bounds": "comparer.preemptive",
    "read_datasheets": "datasheet",
    "read_mapping": "loaders.mapping",
    "risk_table": "risk_table",
    "survival_at": "survival.kaplan_meier",
    "vanished_bounds": "comparer.vanished",
    "weibull": "survival.weibull",
}

__all__ = [
    "Comparison",
    "Datasheet",
    "DriveyearsError",
    "Forecast",
    "HazardRatio",
    "InService",
    "Interval",
    "InvalidLife",
    "Mixture",
    "PlannedLooks",
    "PreemptiveBounds",
    "Quarter",
    "Rate",
    "Rating",
    "RiskTable",
    "SignalHistory",
    "Store",
    "VanishedBounds",
    "Verdict",
    "Weibull",
    "WeibullRefused",
    "compare",
    "compare_planned",
    "compare_running",
    "cox_hazard_ratio",
    "cumulative_incidence",
    "draw",
    "forecast",
    "hazard",
    "in_service",
    "kaplan_meier",
    "load",
    "logrank",
    "nelson_aalen",
    "open_store",
    "preemptive_bounds",
    "read_datasheets",
    "read_mapping",
    "risk_table",
    "survival_at",
    "vanished_bounds",
    "weibull",
]


def __getattr__(name: str) -> object:
    """Load a public name from its home when it is first asked for."""
    if name not in _HOMES:
        raise AttributeError(f"reliability has no name {name!r}; its names are {', '.join(__all__)}")
    value = getattr(import_module(f"reliability.{_HOMES[name]}"), name)
    globals()[name] = value
    return value


def __dir__() -> list[str]:
    return sorted(__all__)


class _Face(ModuleType):
    """A package in which a public name never gives way to the module of that name."""

    def __setattr__(self, name: str, value: object) -> None:
        """Set an attribute; Python sets a module that is loaded, such as risk_table, whoever loads it."""
        super().__setattr__(
            name, getattr(value, name) if name in _HOMES and isinstance(value, ModuleType) else value
        )


sys.modules[__name__].__class__ = _Face
