"""How the report's tables write numbers: those of the sentences, with the signs of a well-set table.

A number that is not there is an en dash, never a nan; a sentence nearby says why.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from reliability import digits
from reliability.curve import share
from reliability.units import DAYS_PER_YEAR

if TYPE_CHECKING:
    from datetime import date

    from reliability.interval import Interval
    from reliability.survival.kaplan_meier import SurvivalAt
    from reliability.survival.weibull_life import Estimate

DASH = "\N{EN DASH}"
SIGN = "\N{NO-BREAK SPACE}%"

_SMALLEST_P = 0.001
_SMALLEST_CHANCE = 0.01
_MONTHS = (  # not strftime, whose names follow the machine's locale
    *("January", "February", "March", "April", "May", "June"),
    *("July", "August", "September", "October", "November", "December"),
)


def percent(rate: float | None) -> str:
    """Write a rate per drive-year in percent.

    >>> percent(0.00876) == f"0.88{SIGN}", percent(None) == DASH
    (True, True)
    """
    return DASH if rate is None else digits.percent(rate) + SIGN


def limits(interval: Interval) -> str:
    """Write limits per drive-year in percent; a limit that is not there is put in words.

    >>> from reliability.interval import Interval
    >>> limits(Interval(0.001, 0.02)) == f"0.100{DASH}2.00{SIGN}", limits(Interval(0, float("inf")))
    (True, 'no limits')
    """
    low = digits.percent(interval.low, digits.LIMIT_DIGITS)
    if math.isinf(interval.high):
        return f"{low}{SIGN} or more" if interval.low else "no limits"
    return f"{low}\N{EN DASH}{digits.percent(interval.high, digits.LIMIT_DIGITS)}{SIGN}"


def survival(at: SurvivalAt) -> str:
    """Write a survival in percent, so that what is missing from 100 keeps its digits.

    >>> from reliability.survival.kaplan_meier import SurvivalAt
    >>> survival(SurvivalAt(365, 20, 0.9987, 0.99, 1.0)) == f"99.87{SIGN}"
    True
    """
    return DASH if at.survival is None else share(at.survival) + SIGN


def survival_limits(at: SurvivalAt) -> str:
    """Write limits of a survival; without them, why."""
    if at.low is None or at.high is None:
        return "no limits"
    return f"{share(at.low, digits.LIMIT_DIGITS)}{DASH}{share(at.high, digits.LIMIT_DIGITS)}{SIGN}"


def in_years(days: float) -> str:
    """Write an age in years, without the unit.

    >>> in_years(1700)
    '4.7'
    """
    return digits.significant(days / DAYS_PER_YEAR)


def estimate_limits(estimate: Estimate, unit_days: float = 1) -> str:
    """Write limits of a fitted number, in units of so many days if it is an age.

    >>> from reliability.survival.weibull_life import Estimate
    >>> estimate_limits(Estimate(730, 365, None, 1), 365), estimate_limits(Estimate(1.5, None, None, 1))
    ('1.00, no upper limit', 'no limits')
    """
    if estimate.low is None and estimate.high is None:
        return "no limits"
    ends = [
        None if end is None else digits.significant(end / unit_days, digits.LIMIT_DIGITS)
        for end in (estimate.low, estimate.high)
    ]
    if None not in ends:
        return f"{ends[0]}{DASH}{ends[1]}"
    return f"{ends[0] or 'no lower limit'}, {ends[1] or 'no upper limit'}"


def drive_years(exposure: float) -> str:
    """Write an exposure in whole drive-years, less than one with two digits, without the unit.

    >>> drive_years(1054.3), drive_years(0.25), drive_years(0)
    ('1,054', '0.25', '0')
    """
    return digits.years_at_risk(exposure).split(" ")[0]


def times(ratio: float) -> str:
    """Write a multiple as it is said.

    >>> times(2.0), times(1.5)
    ('twice', '1.5 times')
    """
    return "twice" if ratio == 2 else f"{ratio:g} times"  # noqa: PLR2004  (a word, not a setting)


def p_value(value: float) -> str:
    """Write a p-value; below a thousandth its digits say nothing.

    >>> p_value(0.0312), p_value(1e-9)
    ('0.031', 'below 0.001')
    """
    return f"below {_SMALLEST_P}" if value < _SMALLEST_P else digits.significant(value)


def chance(value: float) -> str:
    """Write a chance in whole percent; one too small to have come up often is not called 0.

    >>> chance(0.314) == f"31{SIGN}", chance(0.0002) == f"under 1{SIGN}"
    (True, True)
    """
    return f"under 1{SIGN}" if value < _SMALLEST_CHANCE else f"{100 * value:.0f}{SIGN}"


def day(value: date) -> str:
    """Write a day in words, the same in every locale.

    >>> from datetime import date
    >>> day(date(2026, 9, 30))
    '30 September 2026'
    """
    return f"{value.day} {_MONTHS[value.month - 1]} {value.year}"
