"""Simulated fleets of known shape: what they have been through, and who is left."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from survival.fleets import outcomes, weibull_lives

from reliability.forecast.binomials import mixed_binomials
from reliability.in_service import InService, in_service
from reliability.risk_table import RiskTable, risk_table

if TYPE_CHECKING:
    from reliability.forecast.counts import Counts

DAYS = 700.0


@dataclass(frozen=True, slots=True, eq=False)
class Truth:
    """Drives of a Weibull life, first seen at these ages and watched for 700 days, some of which fail."""

    entry: np.ndarray
    shape: float
    scale: float

    def lives(self, rng: np.random.Generator) -> tuple[RiskTable, InService]:
        """One fleet: its counts by age to the day, and those still in service."""
        exit_, failed = weibull_lives(rng, self.entry, self.shape, self.scale, DAYS)
        exit_ = np.maximum(np.ceil(exit_), self.entry + 1)
        return risk_table(self.entry, exit_, outcomes(failed), exact=False), in_service(exit_[~failed])

    def to_come(self, drives: InService, days: float) -> Counts:
        """The true distribution of the failures to come."""
        begin, end = (drives.age / self.scale) ** self.shape, ((drives.age + days) / self.scale) ** self.shape
        return mixed_binomials(-np.expm1(begin - end)[np.newaxis], drives.drives)


def truth(shape: float, failures: float, drives: int = 300, *, late: bool = True) -> Truth:
    """A fleet of which so many drives are expected to fail; new, or first seen at ages up to 900 days."""
    entry = np.linspace(0, 900, drives).round() * late
    low, high = 1e1, 1e9
    while high / low > 1 + 1e-9:
        scale = math.sqrt(low * high)
        due = -np.expm1((entry / scale) ** shape - ((entry + DAYS) / scale) ** shape).sum()
        low, high = (scale, high) if due > failures else (low, scale)
    return Truth(entry, shape, low)
