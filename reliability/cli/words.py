"""Numbers as the tables of the command line write them."""

from __future__ import annotations

from reliability.digits import LIMIT_DIGITS, percent, significant
from reliability.rate import Rate

SMALLEST_CHANCE = 0.001  # that a table has room for


def percent_or_dash(rate: float | None) -> str:
    """A rate per drive-year in percent; a dash where there is none."""
    return "-" if rate is None else f"{percent(rate)} %"


def exposure(rate: Rate) -> str:
    """Drive-years, whole; two digits below one, for 0 would deny them.

    >>> exposure(Rate(0, 365_000)), exposure(Rate(0, 73)), exposure(Rate(0, 0))
    ('1,000', '0.20', '0')
    """
    years = rate.drive_years
    return f"{years:,.0f}" if years >= 1 or not years else significant(years)


def limits(rate: Rate, level: float) -> str:
    """Exact limits in percent; without exposure nothing can be said."""
    if rate.per_year is None:
        return "no exposure"
    interval = rate.interval(level)
    return f"({percent(interval.low, LIMIT_DIGITS)}-{percent(interval.high, LIMIT_DIGITS)})"


def chance(p_value: float | None) -> str:
    """A p-value; a dash where nothing was tested."""
    if p_value is None:
        return "-"
    return "<0.001" if p_value < SMALLEST_CHANCE else f"{p_value:.3f}"
