"""A comparison that may be looked at with every report: limits that hold at all looks together.

Limits that err in 5 % of single looks err in far more of twenty looks. Those of this module hold at every look at
once, however often and whenever one looks, and whatever made one look: they are a confidence sequence.

For a rate L, the evidence against it is how much likelier the failures so far are if the rate is drawn from a gamma
distribution than if it is L (a gamma mixture). Under L this ratio is a martingale that begins at 1, so the chance that
it ever reaches 1 / alpha is at most alpha (Ville 1939; Robbins 1970). The limits hold every rate against which it has
not got there.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from reliability.comparer.stated import (
    RATIO,
    Comparison,
    Verdict,
    check_stated,
    more_drive_years,
    verdict_of,
)
from reliability.errors import QuestionError
from reliability.interval import Interval, check_level

if TYPE_CHECKING:
    from datetime import date

    from reliability.rate import Rate

EVERY_LOOK = "valid at every look"
UNSTATED_DRIVE_YEARS = 100.0  # of the prior where no rate is stated
_MOST_STEPS = 100  # Newton's method needs about ten
_PRECISION = 1e-14


@dataclass(frozen=True, slots=True)
class Mixture:
    """The gamma distribution over rates by which evidence is weighed, and the level of the limits.

    shape        above 0
    drive_years  its exposure, above 0: it is centred on shape / drive_years failures a drive-year
    level        of the limits, at all looks together

    What is chosen here changes how wide limits are, never whether they hold, as long as it is chosen before the
    failures are seen.
    """

    shape: float = 1.0
    drive_years: float = UNSTATED_DRIVE_YEARS
    level: float = 0.95

    def __post_init__(self) -> None:
        """Refuse what is no distribution."""
        check_level(self.level)
        if not (0 < self.shape < math.inf and 0 < self.drive_years < math.inf):
            raise QuestionError(
                f"A prior of shape {self.shape} and {self.drive_years} drive-years is none; "
                "give two numbers above 0."
            )

    @classmethod
    def centred_on(cls, stated: float | None, level: float = 0.95) -> Mixture:
        """Centre it on a stated rate; without one it weighs as little as 100 drive-years.

        >>> Mixture.centred_on(0.0035).drive_years, Mixture.centred_on(None).drive_years
        (285.7142857142857, 100.0)
        """
        if stated is not None:
            check_stated(stated, RATIO)
        return cls(1.0, UNSTATED_DRIVE_YEARS if stated is None else 1 / stated, level)

    def log_e_value(self, rate: Rate, per_year: float) -> float:
        """Logarithm of the evidence against a true rate, 0 or more failures per drive-year.

        >>> from reliability.rate import Rate
        >>> Mixture().log_e_value(Rate(0, 0), 0.01)  # nothing seen, nothing known
        0.0
        """
        if not 0 <= per_year < math.inf:
            raise QuestionError(f"A true rate of {per_year} failures per drive-year is none; give 0 or more.")
        if rate.failures and not per_year:
            return math.inf  # what never fails has failed
        against = rate.failures * math.log(per_year) if rate.failures else 0.0
        return self._log_weight(rate.failures, rate.drive_years) - against + per_year * rate.drive_years

    def p_value(self, rate: Rate, per_year: float) -> float:
        """Chance, at most, that evidence against a true rate ever gets as strong as it is now."""
        return math.exp(min(0.0, -self.log_e_value(rate, per_year)))

    def interval(self, rate: Rate) -> Interval:
        """Limits of the rate per drive-year that hold at every look; without exposure (0, infinity).

        Without a failure the lower limit is 0, and all of alpha goes to the upper one.

        >>> from reliability.rate import Rate
        >>> found = Mixture().interval(Rate(10, 365_000))
        >>> f"{found.low:.4f} {found.high:.4f}"
        '0.0034 0.0223'
        """
        failures, years = rate.failures, rate.drive_years
        if not years:
            return Interval(0.0, math.inf, self.level)
        room = self._room() - self._log_weight(failures, years)
        if not failures:
            return Interval(0.0, room / years, self.level)
        estimate = failures / years
        low, high = balance_roots(room / failures + math.log(estimate) - 1)
        return Interval(low * estimate, high * estimate, self.level)

    def up_to(self, failures: int, per_year: float) -> float:
        """Exposure in drive-years up to which so many failures are too many for a rate above 0.

        Below 0 if they never are.
        """
        return self._turns(failures, per_year)[0]

    def beyond(self, failures: int, per_year: float) -> float:
        """Exposure in drive-years beyond which so many failures are too few for a rate above 0."""
        return self._turns(failures, per_year)[1]

    def _turns(self, failures: int, per_year: float) -> tuple[float, float]:
        """Exposures at which the evidence against a rate passes 1 / alpha: it falls first, and rises later."""
        weight = self.shape + failures
        fixed = self._log_weight(failures, 0.0) + weight * math.log(self.drive_years)
        fixed -= failures * math.log(per_year) + per_year * self.drive_years
        level = (self._room() - fixed) / weight + math.log(weight / per_year) - 1
        low, high = (weight / per_year * root - self.drive_years for root in balance_roots(level))
        return low, high

    def _room(self) -> float:
        return -math.log1p(-self.level)

    def _log_weight(self, failures: int, years: float) -> float:
        """Logarithm of the chance of what was seen under the mixture, but for what all rates share."""
        weight = self.shape + failures
        return (
            math.lgamma(weight)
            - math.lgamma(self.shape)
            - self.shape * math.log1p(years / self.drive_years)
            - failures * math.log(self.drive_years + years)
        )


@dataclass(frozen=True, slots=True)
class Fixed:
    """What the first report on a model fixed for all those to come.

    since   failures and exposure count from this day on
    stated  the stated rate on which the prior was centred; None if there was none
    """

    since: date
    mixture: Mixture
    stated: float | None


def compare_running(rate: Rate, stated: float, mixture: Mixture, *, ratio: float = RATIO) -> Comparison:
    """Compare an observed rate with a stated one, at one of any number of looks.

    rate     failures and exposure since the comparison began
    stated   failures per drive-year, above 0; it need not be the one on which the mixture was centred
    mixture  fixed before the first look
    ratio    the excess that matters, as in `compare`

    The verdicts are those of `compare`, by the limits that hold at every look.

    >>> from reliability.rate import Rate
    >>> found = compare_running(Rate(20, 365_000), 0.01, Mixture.centred_on(0.01))
    >>> found.verdict.value, compare_running(Rate(30, 365_000), 0.01, Mixture.centred_on(0.01)).verdict.value
    ('too little', 'worse')
    """
    check_stated(stated, ratio)
    interval = mixture.interval(rate)
    verdict = verdict_of(interval, stated, ratio)
    in_expected = Mixture(mixture.shape, mixture.drive_years * stated, mixture.level)
    return Comparison(
        rate=rate,
        stated=stated,
        ratio=ratio,
        interval=interval,
        at_most=interval.high,
        p_value=mixture.p_value(rate, stated),
        verdict=verdict,
        more_drive_years=(
            more_drive_years(rate, stated, ratio=ratio, excluded_by=in_expected)
            if verdict is Verdict.TOO_LITTLE
            else None
        ),
        look=EVERY_LOOK,
    )


def balance_roots(excess: float) -> tuple[float, float]:
    """Find the two numbers, one on each side of 1, at which y - 1 - ln y is so much above 0.

    In ln y the function is convex, so that Newton's method, begun outside, comes straight in to either root.

    >>> low, high = balance_roots(1.0)
    >>> f"{low:.5f} {high:.5f}"
    '0.15859 3.14619'
    """
    return _root(-1 - excess, excess), _root(math.log(2 * (1 + excess)), excess)


def _root(outside: float, excess: float) -> float:
    place = outside
    for _ in range(_MOST_STEPS):
        slope = math.expm1(place)
        step = (slope - place - excess) / slope if slope else 0.0
        place -= step
        if abs(step) <= _PRECISION * abs(place):
            break
    return math.exp(place)
