"""One question of coverage: limits, where they were tried, how often they held, and how often a wrong method did."""

from __future__ import annotations

import math
from dataclasses import dataclass

SURE = 3.0  # standard errors that a simulated share may lie off by chance


@dataclass(frozen=True, slots=True)
class Study:
    """How often a method kept what it promises.

    method, setting  in words
    nominal          chance that the method states
    covered          share of fleets in which it was kept
    simulations      fleets drawn; 0: summed over all that can happen, without chance
    control          the wrong method, in words
    control_covered  share of the same fleets in which that was right
    tolerated        what an approximate method may fall short of its nominal chance; 0 for an exact one
    scatter          standard error of `covered`, if each fleet gave a chance; else each was right or wrong
    """

    method: str
    setting: str
    nominal: float
    covered: float
    simulations: int
    control: str
    control_covered: float
    tolerated: float = 0.0
    scatter: float | None = None

    @property
    def error(self) -> float:
        """Monte Carlo standard error; of counted fleets that at the nominal chance."""
        if self.scatter is not None:
            return self.scatter
        return math.sqrt(self.nominal * (1 - self.nominal) / self.simulations) if self.simulations else 0.0

    @property
    def holds(self) -> bool:
        """Whether the method keeps its promise, chance of the simulation allowed for."""
        return self.covered >= self.nominal - self.tolerated - SURE * self.error - 1e-9

    @property
    def control_falls_short(self) -> bool:
        """Whether the wrong method is seen to be wrong."""
        return self.control_covered < self.nominal - self.tolerated - SURE * self.error
