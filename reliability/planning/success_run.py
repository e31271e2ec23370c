"""Units that have to survive a test, to show that a share of all units would: the success run.

The unit here is tried for a fixed time and survives it or not, whatever its rate does meanwhile. With failures
allowed the count of failed units is binomial. Run longer than the time in question, fewer units are enough,
by how much depends on how the hazard goes with age: its Weibull shape has to be known and is not tested.
"""

from __future__ import annotations

import math

from scipy.special import betainc, betaincinv

from reliability.errors import QuestionError
from reliability.interval import check_level
from reliability.planning.least_count import least_count
from reliability.poisson import check_count


def level_shown(units: int, reliability: float, failures: int = 0) -> float:
    """Confidence with which a test shows that at least a share of all units survives.

    units        tried, more than failed
    reliability  that share, strictly between 0 and 1
    failures     units that did not survive the test
    returns      chance that units of just this reliability do worse in the test; one-sided

    Source: Clopper & Pearson (1934), Biometrika 26, 404-413, one side of it.

    >>> f"{level_shown(298, 0.99):.5f} {level_shown(299, 0.99):.5f}"  # 299 units for 95 %, 298 just miss it
    '0.94996 0.95046'
    """
    _check_units(units, failures)
    _check_reliability(reliability)
    return 1 - float(betainc(units - failures, failures + 1, reliability))


def reliability_shown(units: int, failures: int = 0, level: float = 0.95) -> float:
    """Share of all units that survives at least, one-sided, after a test of so many.

    >>> f"{reliability_shown(30, level=0.9):.3f}"
    '0.926'
    """
    _check_units(units, failures)
    check_level(level)
    return float(betaincinv(units - failures, failures + 1, 1 - level))


def units_to_show(
    reliability: float, level: float = 0.95, *, failures: int = 0, lives: float = 1.0, shape: float = 1.0
) -> int:
    """Least number of units to try, to show that at least a share of all survives one life.

    reliability  that share, strictly between 0 and 1
    failures     units that may fail in the test
    lives        how many times the life in question each unit runs, above 0
    shape        Weibull shape of the lives, above 0; it does not matter where each unit runs one life

    A unit that survives one life with chance R survives L of them with chance R^(L^shape).
    Source: the success-run formula n = ln(1 - level)/ln R, Wilks (1941) with failures allowed, and its Weibull
    extension (Meeker & Escobar 1998, chapter 10).

    >>> units_to_show(0.95), units_to_show(0.95, failures=1), units_to_show(0.9, 0.9, lives=2, shape=2)
    (59, 93, 6)
    """
    _check_reliability(reliability)
    check_level(level)
    check_count(failures)
    for name, value in (("number of lives", lives), ("shape", shape)):
        if not 0 < value < math.inf:
            raise QuestionError(f"A {name} of {value} cannot be planned with; give a number above 0.")
    survives = reliability ** (lives**shape)
    if not 0 < survives < 1:
        raise QuestionError(
            f"A unit would survive {lives:g} lives with a chance of {survives:g}, "
            "from which nothing can be planned; choose another test time."
        )

    def enough(units: int) -> bool:
        return float(betainc(units - failures, failures + 1, survives)) <= 1 - level

    return least_count(enough, start=failures + 1)


def _check_units(units: int, failures: int) -> None:
    check_count(failures)
    if not (units > failures and units % 1 == 0):
        raise QuestionError(
            f"A test of {units} units with {failures} failed shows no reliability; "
            "give a whole number of units, more than failed."
        )


def _check_reliability(reliability: float) -> None:
    if not 0 < reliability < 1:
        raise QuestionError(
            f"A reliability of {reliability} is not strictly between 0 and 1; write 0.99 for 99 %."
        )
