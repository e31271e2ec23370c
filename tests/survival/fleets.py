"""Fleets for the tests of survival: drawn by hypothesis, or simulated with a seed."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from hypothesis import strategies as st

from reliability.lives import OUTCOMES
from reliability.risk_table import RiskTable, risk_table

if TYPE_CHECKING:
    from numpy.random import Generator
    from numpy.typing import NDArray
    from slow_survival import Life

a_life = st.tuples(st.integers(0, 40), st.integers(1, 50), st.sampled_from(OUTCOMES)).map(
    lambda life: (life[0], life[0] + life[1], life[2])
)
a_failing_life = a_life.map(lambda life: (life[0], life[1], "failed"))
some_lives = st.lists(a_life | a_failing_life, min_size=1, max_size=40)
many_lives = st.lists(a_life | a_failing_life, min_size=20, max_size=50)


def table_of(lives: list[Life], *, exact: bool = True) -> RiskTable:
    entry, exit_, outcome = zip(*lives, strict=True)
    return risk_table(entry, exit_, outcome, exact=exact)


def weibull_lives(
    rng: Generator, entry: NDArray[np.float64], shape: float, scale: float, days: float
) -> tuple[NDArray[np.float64], NDArray[np.bool_]]:
    """Exit ages of drives alive at their entry age, watched for so many days, and whether they failed."""
    hazard = (entry / scale) ** shape + rng.exponential(size=entry.size)
    life = scale * hazard ** (1 / shape)
    return np.minimum(life, entry + days), life <= entry + days


def outcomes(failed: NDArray[np.bool_]) -> NDArray[np.str_]:
    return np.where(failed, "failed", "in service")
