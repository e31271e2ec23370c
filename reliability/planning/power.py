"""The chance that a planned exposure gives an answer, exact, and the same for many sizes of fleet at once."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from reliability.errors import QuestionError
from reliability.planning.demonstration import check_rate
from reliability.planning.least_count import least_count
from reliability.poisson import chance_of_at_least, chance_of_at_most, lower_limit, upper_limit
from reliability.units import MONTHS_PER_YEAR

if TYPE_CHECKING:
    from collections.abc import Sequence

# Standard deviations between what is expected at two rates, from which on the chance is 1 to all digits of a float;
# exact limits take longer the larger the counts are.
_BEYOND_DOUBT = 40.0


def chance_to_exclude(excluded: float, truth: float, expected: float, level: float = 0.95) -> float:
    """Chance that the exact two-sided interval of a sample excludes a rate.

    excluded  that rate, as a multiple of the stated rate, above 0
    truth     the rate at which the drives truly fail, as a multiple of the stated rate; not `excluded`
    expected  exposure, in failures expected at the stated rate, 0 or more

    Only the side counts on which the truth lies. With exposure the chance rises, but not steadily: the count
    that is needed is whole.

    >>> round(chance_to_exclude(1, 2, 12.4), 2), round(chance_to_exclude(1, 2, 0.042), 4)
    (0.8, 0.0033)
    """
    if truth == excluded:
        raise QuestionError(
            f"No exposure excludes {excluded:g} times the stated rate if it is true; ask for another."
        )
    if abs(truth - excluded) * expected > _BEYOND_DOUBT * math.sqrt(max(truth, excluded) * expected):
        return 1.0
    one_sided = (1 + level) / 2
    if truth > excluded:
        enough = least_count(lambda failures: lower_limit(failures, one_sided) > excluded * expected)
        return chance_of_at_least(enough, truth * expected)
    too_many = least_count(lambda failures: upper_limit(failures, one_sided) >= excluded * expected)
    return chance_of_at_most(too_many - 1, truth * expected) if too_many else 0.0


@dataclass(frozen=True, slots=True)
class Plan:
    """So many drives over so many months, against a stated rate.

    months          of 1/12 year, 0 or more
    expected        failures at the stated rate
    at_most         what the rate is below, one-sided, if none fails; infinite without exposure
    chance_to_find  that a model is found which fails `times` as often as stated
    chance_to_call  that this is ruled out for a model that keeps its stated rate: consistent, or better
    """

    drives: int
    months: float
    expected: float
    at_most: float
    chance_to_find: float
    chance_to_call: float

    @property
    def drive_years(self) -> float:
        """Exposure, if each drive that fails is replaced."""
        return self.drives * self.months / MONTHS_PER_YEAR


def plans(
    drives: Sequence[int],
    months: Sequence[float],
    stated: float,
    *,
    times: float = 2.0,
    level: float = 0.95,
) -> tuple[tuple[Plan, ...], ...]:
    """Every number of drives over every number of months: a row of plans for each number of drives.

    >>> ((year, five_years),) = plans([1200], [12, 60], 0.0035)
    >>> f"{year.chance_to_find:.0%} {five_years.chance_to_find:.0%}"
    '33% 97%'
    """
    check_rate(stated)
    for number in (*drives, *months):
        if not number >= 0:
            raise QuestionError(f"{number} cannot be planned with; give drives and months of 0 or more.")
    return tuple(tuple(_plan(number, time, stated, times, level) for time in months) for number in drives)


def _plan(drives: int, months: float, stated: float, times: float, level: float) -> Plan:
    drive_years = drives * months / MONTHS_PER_YEAR
    expected = stated * drive_years
    return Plan(
        drives=drives,
        months=months,
        expected=expected,
        at_most=upper_limit(0, level) / drive_years if drive_years else float("inf"),
        chance_to_find=chance_to_exclude(1, times, expected, level),
        chance_to_call=chance_to_exclude(times, 1, expected, level),
    )
