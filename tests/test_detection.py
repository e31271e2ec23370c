"""Exposure until an interval can exclude a rate, against a plain scan of exact sums by scipy."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.stats import chi2, poisson

from reliability.detection import expected_to_exclude
from reliability.errors import QuestionError

STEP = 1.0003  # of the scan: teeth may be narrow
TOTALS = np.arange(250)
LOW = np.concatenate(([0.0], chi2.ppf(0.025, 2 * TOTALS[1:]) / 2))
HIGH = chi2.ppf(0.975, 2 * TOTALS + 2) / 2


def power(excluded: float, truth: float, seen: int, sofar: float, exposure: float) -> float:
    """Chance that the exact 95 % limits at this exposure exclude the rate, over all counts to come."""
    excludes = excluded * exposure < LOW if truth > excluded else excluded * exposure > HIGH
    return float(poisson.pmf(TOTALS - seen, truth * (exposure - sofar))[excludes].sum())


def scanned(excluded: float, truth: float, seen: int, sofar: float) -> float:
    """Least exposure on a fine grid from which the power is 0.8 or more for a quarter of it."""
    grid = max(sofar, 1.0) * STEP ** np.arange(int(np.log(60) / np.log(STEP)))
    enough = np.array([power(excluded, truth, seen, sofar, exposure) >= 0.8 for exposure in grid])
    window = int(np.log(1.25) / np.log(STEP))
    held = np.convolve(enough, np.ones(window), mode="valid") == window
    return float(grid[held.argmax()])


@pytest.mark.parametrize(
    ("excluded", "truth", "expected"),
    [
        (1, 5, 1.3),  # to find five times the stated rate
        (1, 3, 4.2),
        (1, 2, 12.4),
        (1, 1.5, 41),
        (1, 0.5, 27),  # to show half the stated rate
        (2, 1, 13.6),  # to rule out twice the stated rate, for a model that keeps it
    ],
)
def test_planning_from_nothing(excluded: float, truth: float, expected: float) -> None:
    digits = 0 if expected > 20 else 1
    assert round(expected_to_exclude(excluded, truth), digits) == expected


@pytest.mark.parametrize(
    ("stated", "to_find_double", "to_exclude_double"), [(0.0035, 3530, 3890), (0.00876, 1410, 1550)]
)
def test_planning_in_drive_years(stated: float, to_find_double: float, to_exclude_double: float) -> None:
    assert round(expected_to_exclude(1, 2) / stated, -1) == to_find_double
    assert round(expected_to_exclude(2, 1) / stated, -1) == to_exclude_double


@pytest.mark.parametrize(
    ("excluded", "truth", "seen", "sofar"),
    [
        (1, 5, 0, 0.0),
        (1, 2, 0, 0.0),
        (2, 1, 0, 0.0),
        (1, 0.5, 0, 0.0),
        (1, 2, 4, 3.5),
        (2, 1, 4, 3.5),
        (1, 2, 0, 1.0),
        (2, 1, 0, 1.0),
        (1, 2, 20, 12.3),  # nearly found
        (2, 1, 20, 12.3),
        (1.5, 1, 12, 9.0),
    ],
)
def test_it_is_the_least_exposure_that_a_plain_scan_finds(
    excluded: float, truth: float, seen: int, sofar: float
) -> None:
    found = sofar + expected_to_exclude(excluded, truth, failures=seen, expected=sofar)
    assert scanned(excluded, truth, seen, sofar) == pytest.approx(found, rel=2 * (STEP - 1))


def test_the_power_is_a_saw_tooth_so_reaching_it_once_is_not_enough() -> None:
    """At 11.3 failures expected the power is 0.8, a little later it is not: the answer is beyond."""
    assert power(1, 2, 0, 0.0, 11.3) >= 0.8 > power(1, 2, 0, 0.0, 11.7)
    assert expected_to_exclude(1, 2) > 11.7


def test_what_is_excluded_for_good_needs_nothing_more() -> None:
    assert expected_to_exclude(1, 2, failures=50, expected=10.0) == 0


def test_a_rate_cannot_be_excluded_where_it_is_true() -> None:
    with pytest.raises(QuestionError, match="No exposure excludes 1 times the stated rate if it is true"):
        expected_to_exclude(1, 1)
