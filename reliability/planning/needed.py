"""Exposure that it takes to say each thing there is to say about a stated rate, from nothing or from what was seen."""

from __future__ import annotations

import math
from dataclasses import dataclass

from reliability.detection import expected_to_exclude
from reliability.errors import QuestionError
from reliability.planning.demonstration import check_rate, length_factor

DOUBLE = 2.0


@dataclass(frozen=True, slots=True)
class Needed:
    """Exposure in failures expected at the stated rate; divide by that rate for drive-years.

    to_demonstrate      without a failure in it, the rate is shown to be at most as stated (one-sided); 0 if it is
    to_detect           a model that fails `times` as often as stated is found to with a chance of 0.8
    to_call_consistent  a model at its stated rate is found not to fail `times` as often, with a chance of 0.8
    times               the excess that matters
    """

    stated: float
    times: float
    to_demonstrate: float
    to_detect: float
    to_call_consistent: float

    def drive_years(self, expected: float) -> float:
        """Drive-years in which so many failures are expected at the stated rate."""
        return expected / self.stated


def needed(
    stated: float,
    *,
    times: float = DOUBLE,
    level: float = 0.95,
    failures: int = 0,
    drive_years: float = 0.0,
) -> Needed:
    """Further exposure needed for each kind of answer about a stated rate.

    stated       failures per drive-year, above 0
    times        the excess that matters, in multiples of the stated rate, above 1
    level        of the two-sided interval, and of the one-sided limit
    failures     seen so far
    drive_years  in which they were seen, 0 or more

    The chances of 0.8 hold for a quarter more of exposure too, as in `reliability.detection`.

    >>> takes = needed(0.0035)
    >>> [round(takes.drive_years(each)) for each in (takes.to_demonstrate, takes.to_detect)]
    [856, 3533]
    >>> round(takes.drive_years(takes.to_call_consistent))
    3888

    Two failures in 1,000 drive-years: it takes 799 more without a failure to show the rate.

    >>> seen = needed(0.0035, failures=2, drive_years=1000)
    >>> round(seen.drive_years(seen.to_demonstrate))
    799
    """
    check_rate(stated)
    if not times > 1:
        raise QuestionError(f"{times} times the stated rate is no excess over it; give a number above 1.")
    if not 0 <= drive_years < math.inf:
        raise QuestionError(f"{drive_years} drive-years are no exposure; give a number, 0 or more.")
    expected = stated * drive_years

    def until(excluded: float, truth: float) -> float:
        return expected_to_exclude(excluded, truth, failures=failures, expected=expected, level=level)

    return Needed(
        stated=stated,
        times=times,
        to_demonstrate=max(0.0, length_factor(failures, level) - expected),
        to_detect=until(1, times),
        to_call_consistent=until(times, 1),
    )
