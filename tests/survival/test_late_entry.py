"""What ignoring late entry does, as methods.md section 7 states it, by simulation with a seed.

The fleet: half of the drives are new when the data begin, half are 0.5 to 4 years old; all are watched for 2 years.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from reliability.rate import Rate
from reliability.risk_table import risk_table
from reliability.survival.kaplan_meier import survival_at
from reliability.survival.weibull import weibull
from reliability.survival.weibull_life import Weibull
from survival.fleets import outcomes, weibull_lives

YEAR = 365
DRIVES = 400_000
SCALE_YEARS = {0.6: 150, 1.0: 60, 3.0: 9}  # by shape, such that 6 to 11 % fail within 4 years


def fleet(shape: float, *, new: float = 0.5) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Entry and exit ages in days, and who failed."""
    rng = np.random.default_rng(int(10 * shape))
    entry = np.where(rng.random(DRIVES) < new, 0.0, np.floor(rng.uniform(0.5 * YEAR, 4 * YEAR, DRIVES)))
    exit_, failed = weibull_lives(rng, entry, shape, SCALE_YEARS[shape] * YEAR, 2 * YEAR)
    return entry, np.maximum(np.ceil(exit_), entry + 1), failed


def failed_by_4_years(entry: np.ndarray, exit_: np.ndarray, failed: np.ndarray) -> float:
    (point,) = survival_at(risk_table(entry, exit_, outcomes(failed)), [4 * YEAR], from_age=0)
    assert point.survival is not None
    return 1 - point.survival


@pytest.mark.parametrize(
    ("shape", "naive", "true"), [(0.6, 0.065, 0.107), (1.0, 0.041, 0.0645), (3.0, 0.062, 0.084)]
)
def test_with_late_entry_the_truth_comes_out_and_without_it_does_not(
    shape: float, naive: float, true: float
) -> None:
    entry, exit_, failed = fleet(shape)
    assert 1 - math.exp(-((4 / SCALE_YEARS[shape]) ** shape)) == pytest.approx(true, abs=5e-4)
    assert failed_by_4_years(entry, exit_, failed) == pytest.approx(true, abs=2e-3)
    assert failed_by_4_years(0 * entry, exit_, failed) == pytest.approx(naive, abs=2e-3)


@pytest.mark.parametrize(("new", "part"), [(0.5, 0.63), (0.0, 0.465)])
def test_failures_over_all_hours_run_are_a_fraction_of_the_rate(new: float, part: float) -> None:
    """Hours that drives ran before they were watched are no exposure: 63 % comes out, 46-47 % if all are old."""
    entry, exit_, failed = fleet(1.0, new=new)
    table = risk_table(entry, exit_, outcomes(failed))
    true = Rate(table.failures, table.drive_days)
    naive = Rate(table.failures, float(exit_.sum()))
    assert true.per_year == pytest.approx(1 / SCALE_YEARS[1.0], rel=0.03)
    assert naive.per_year is not None
    assert true.per_year is not None
    assert naive.per_year / true.per_year == pytest.approx(part, abs=0.015)


@pytest.mark.parametrize("shape", SCALE_YEARS)
def test_a_fit_finds_shape_and_scale_only_with_late_entry(shape: float) -> None:
    entry, exit_, failed = fleet(shape)
    fit = weibull(risk_table(entry, exit_, outcomes(failed), exact=False))
    naive = weibull(risk_table(0 * entry, exit_, outcomes(failed), exact=False))
    assert isinstance(fit, Weibull)
    assert isinstance(naive, Weibull)
    assert fit.shape.value == pytest.approx(shape, abs=4 * fit.shape.standard_error)
    assert fit.scale.value == pytest.approx(SCALE_YEARS[shape] * YEAR, abs=4 * fit.scale.standard_error)
    assert abs(naive.shape.value - shape) > 4 * naive.shape.standard_error
