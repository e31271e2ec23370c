"""Hours, days and drive-years: the only conversion factors of the package.

A drive-year is exactly 365 drive-days, 8760 hours: datasheets turn an MTBF into a yearly rate with 8760 h,
so exposure and MTBF convert into each other without remainder.
"""

from __future__ import annotations

HOURS_PER_DAY = 24
DAYS_PER_YEAR = 365
HOURS_PER_YEAR = HOURS_PER_DAY * DAYS_PER_YEAR
MONTHS_PER_YEAR = 12  # a month of a plan is a twelfth of a year, not one of the calendar
SECONDS_PER_HOUR = 3600
BITS_PER_BYTE = 8
BYTES_PER_TB = 10**12
BYTES_PER_MB = 10**6


def drive_years(drive_days: float) -> float:
    """Drive-days as drive-years of 365 days.

    >>> drive_years(730)
    2.0
    """
    return drive_days / DAYS_PER_YEAR


def rate_from_mtbf(mtbf_hours: float) -> float:
    """Failures per drive-year that a stated MTBF in hours amounts to.

    >>> round(100 * rate_from_mtbf(2_500_000), 2)
    0.35
    """
    return HOURS_PER_YEAR / mtbf_hours


def mtbf_from_rate(rate: float) -> float:
    """MTBF in hours that a rate per drive-year amounts to; a rate of 0 has no upper limit (infinity).

    >>> round(mtbf_from_rate(0.00876))
    1000000
    """
    return HOURS_PER_YEAR / rate if rate > 0 else float("inf")
