"""Chances as the tables of the command line write them: never 0 or 100 % by rounding."""

from __future__ import annotations

from reliability.digits import LIMIT_DIGITS, percent, significant

ALMOST_SURE, LIKELY, RARE, NEXT_TO_NEVER = 0.9995, 0.9, 1e-4, 1e-15


def chance_in_words(chance: float) -> str:
    """Write a chance, from 0 to 1, in percent; a rare one as one in so many.

    >>> chance_in_words(0.0351), chance_in_words(0.9964), chance_in_words(1 - 1e-9)
    ('3.5 %', '99.6 %', 'over 99.9 %')
    >>> chance_in_words(2.5e-7), chance_in_words(1e-30), chance_in_words(0), chance_in_words(1)
    ('1 in 4,000,000', 'under 1 in 10^15', '0 %', 'over 99.9 %')
    """
    if not chance:
        return "0 %"
    if chance >= ALMOST_SURE:
        return "over 99.9 %"
    if chance >= RARE:
        return f"{percent(chance, LIMIT_DIGITS if chance > LIKELY else 2)} %"
    return f"1 in {significant(1 / chance)}" if chance >= NEXT_TO_NEVER else "under 1 in 10^15"
