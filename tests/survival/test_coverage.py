"""How often limits hold the truth, in simulated fleets of known shape, with a seed."""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np
import pytest

from reliability.risk_table import risk_table
from reliability.survival.weibull import weibull
from reliability.survival.weibull_life import Estimate, Weibull
from survival.fleets import outcomes, weibull_lives

FLEETS = 800
DAYS = 700.0
Z = 1.959964


class Covered(NamedTuple):
    """Parts of the fitted fleets in which limits held the truth."""

    shape: float
    scale: float
    b10: float
    b10_from_error: float


def scale_for(entry: np.ndarray, shape: float, failures: float) -> float:
    """Scale at which so many failures are expected."""
    low, high = 1e1, 1e9
    while high / low > 1 + 1e-9:
        scale = math.sqrt(low * high)
        due = -np.expm1((entry / scale) ** shape - ((entry + DAYS) / scale) ** shape).sum()
        low, high = (scale, high) if due > failures else (low, scale)
    return low


def holds(estimate: Estimate, truth: float) -> bool:
    return (estimate.low or 0) <= truth and (estimate.high is None or truth <= estimate.high)


def coverage(shape: float, *, late: bool) -> Covered:
    """200 drives are watched for 700 days, all new or half of them up to 1400 days old; 5 failures expected."""
    rng = np.random.default_rng(1)
    entry = np.linspace(0, 1400, 200) * (np.arange(200) % 2) * late
    scale = scale_for(entry, shape, 5)
    b10, held = scale * (-math.log(0.9)) ** (1 / shape), []
    for _ in range(FLEETS):
        exit_, failed = weibull_lives(rng, entry, shape, scale, DAYS)
        fit = weibull(risk_table(entry, exit_, outcomes(failed)))
        if isinstance(fit, Weibull):
            age = fit.quantiles[0].age
            off = abs(math.log(age.value / b10)) / (age.standard_error / age.value)
            held.append((holds(fit.shape, shape), holds(fit.scale, scale), holds(age, b10), off <= Z))
    assert len(held) > 0.93 * FLEETS  # the others had fewer than 2 failures
    return Covered(*np.mean(held, axis=0).tolist())


@pytest.mark.parametrize(("shape", "late"), [(0.7, False), (1.0, True), (1.5, True)])
def test_profile_limits_hold_the_truth_as_often_as_stated(shape: float, late: bool) -> None:  # noqa: FBT001
    covered = coverage(shape, late=late)
    assert min(covered[:3]) >= 0.93


@pytest.mark.parametrize(("shape", "late"), [(0.7, False), (1.0, True)])
def test_limits_from_standard_errors_do_not(shape: float, late: bool) -> None:  # noqa: FBT001
    """The negative control: log-Wald limits of B10, the usual shortcut, at the same 5 failures."""
    covered = coverage(shape, late=late)
    assert covered.b10_from_error < 0.92 < covered.b10
