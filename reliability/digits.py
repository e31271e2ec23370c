"""How numbers are written in sentences: two significant digits, limits one more, drive-years whole."""

from __future__ import annotations

from decimal import ROUND_CEILING, Context, Decimal

LIMIT_DIGITS = 3


def significant(value: float, digits: int = 2) -> str:
    """Write a finite number with so many significant digits, no exponent, commas between thousands.

    >>> significant(0.35), significant(0.3504, LIMIT_DIGITS), significant(1), significant(12345)
    ('0.35', '0.350', '1.0', '12,000')

    Zero has no significant digit.

    >>> significant(0)
    '0'
    """
    return f"{Decimal(f'{value:.{digits - 1}e}'):,f}" if value else "0"


def percent(rate: float, digits: int = 2) -> str:
    """Write a rate per drive-year as failures per 100 drive-years, without the sign.

    >>> percent(0.0035)
    '0.35'
    """
    return significant(100 * rate, digits)


def counted(count: int, noun: str) -> str:
    """Write a count with its noun.

    >>> counted(1, "failure"), counted(1200, "drive")
    ('1 failure', '1,200 drives')
    """
    return f"{count:,} {noun}" if count == 1 else f"{count:,} {noun}s"


def years_at_risk(drive_years: float) -> str:
    """Write an exposure in whole drive-years; less than one keeps two digits, as "0" would deny it.

    >>> years_at_risk(1054.3), years_at_risk(0.25), years_at_risk(1)
    ('1,054 drive-years', '0.25 drive-years', '1 drive-year')
    """
    whole = significant(drive_years) if drive_years < 1 else f"{drive_years:,.0f}"
    return f"{whole} drive-year" if whole == "1" else f"{whole} drive-years"


def round_up(value: float, digits: int = 2) -> float:
    """Round a finite number up to so many significant digits.

    >>> round_up(3886.2), round_up(0.27), round_up(99.1)
    (3900.0, 0.27, 100.0)
    """
    # through the shortest decimal that is this float, since 0.27 in binary lies a little above 0.27
    return float(Context(prec=digits, rounding=ROUND_CEILING).create_decimal(repr(float(value))))
