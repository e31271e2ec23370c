"""Failures, and the exposure in which they could have happened."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from reliability import units
from reliability.digits import LIMIT_DIGITS, counted, percent, years_at_risk
from reliability.errors import QuestionError
from reliability.interval import Interval
from reliability.poisson import check_count, garwood_interval, upper_limit

if TYPE_CHECKING:
    import pandas as pd


@dataclass(frozen=True, slots=True)
class Rate:
    """An annualised failure rate that keeps what it was made from.

    failures    lives that ended in a failure, a whole number
    drive_days  days at risk, those of all other drives included; whole when counted from snapshots

    One drive, no failure, all failed: nothing special. No exposure: no estimate, the interval (0, infinity).

    >>> print(Rate(failures=4, drive_days=365_000))
    4 failures in 1,000 drive-years: AFR 0.40 % (95 % 0.109-1.02 %)
    >>> print(Rate(0, 312_440))
    0 failures in 856 drive-years: AFR at most 0.350 % (one-sided 95 %)
    >>> print(Rate(0, 0))
    No exposure: no drive was at risk, so there is no rate
    """

    failures: int
    drive_days: float

    def __post_init__(self) -> None:
        """Refuse what cannot have happened."""
        check_count(self.failures)
        # Counts of arrays have few digits, and would wrap where rates are added.
        object.__setattr__(self, "failures", int(self.failures))
        if type(self.drive_days) is not int:
            object.__setattr__(self, "drive_days", float(self.drive_days))
        if not 0 <= self.drive_days < math.inf:
            raise QuestionError(f"{self.drive_days} drive-days are no exposure; give a number, 0 or more.")
        if self.failures and not self.drive_days:
            raise QuestionError(
                f"{counted(self.failures, 'failure')} in 0 drive-days cannot be: "
                "the day of a failure counts as exposure, so give at least one drive-day a failure."
            )

    @property
    def drive_years(self) -> float:
        """Exposure in years of 365 drive-days."""
        return units.drive_years(self.drive_days)

    @property
    def per_year(self) -> float | None:
        """Failures per drive-year; None without exposure."""
        return self.failures / self.drive_years if self.drive_days else None

    def interval(self, level: float = 0.95) -> Interval:
        """Exact limits of the rate per drive-year (Garwood)."""
        return garwood_interval(self.failures, level) / self.drive_years

    def upper_one_sided(self, level: float = 0.95) -> float:
        """Limit below which the rate per drive-year lies at this level; what to quote when nothing failed.

        >>> round(Rate(0, 856 * 365).upper_one_sided(), 4)
        0.0035
        """
        return upper_limit(self.failures, level) / self.drive_years if self.drive_days else math.inf

    def mtbf_interval(self, level: float = 0.95) -> Interval:
        """Exact limits of the MTBF in hours; the upper one is infinite when nothing failed.

        >>> limits = Rate(1, 365_000).mtbf_interval()
        >>> f"{limits.low:.3e} {limits.high:.3e}"
        '1.572e+06 3.460e+08'
        """
        limits = self.interval(level)
        return Interval(units.mtbf_from_rate(limits.high), units.mtbf_from_rate(limits.low), level)

    def __add__(self, other: Rate) -> Rate:
        """Pool two groups: counts and exposures add, rates never do.

        >>> Rate(1, 300) + Rate(2, 700)
        Rate(failures=3, drive_days=1000)
        """
        return Rate(self.failures + other.failures, self.drive_days + other.drive_days)

    def __str__(self) -> str:
        """One line: what was counted, the rate, its exact 95 % limits."""
        if self.per_year is None:
            return "No exposure: no drive was at risk, so there is no rate"
        observed = f"{counted(self.failures, 'failure')} in {years_at_risk(self.drive_years)}"
        if not self.failures:
            return (
                f"{observed}: AFR at most {percent(self.upper_one_sided(), LIMIT_DIGITS)} % (one-sided 95 %)"
            )
        limits = self.interval()
        low, high = percent(limits.low, LIMIT_DIGITS), percent(limits.high, LIMIT_DIGITS)
        return f"{observed}: AFR {percent(self.per_year)} % (95 % {low}-{high} %)"

    def to_frame(self) -> pd.DataFrame:
        """One row: failures, exposure, the rate per drive-year and its exact 95 % limits."""
        import pandas as pd  # noqa: PLC0415  (a frame is loaded only where people look at one)

        limits = self.interval()
        return pd.DataFrame(
            {
                "failures": [self.failures],
                "drive_days": [self.drive_days],
                "drive_years": [self.drive_years],
                "afr": [self.per_year],
                "afr_low": [limits.low],
                "afr_high": [limits.high],
            }
        )
