"""Observed against stated: the exact interval, one of four verdicts, its sentence, and what it would take."""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import Enum
from typing import TYPE_CHECKING

from reliability.detection import expected_to_exclude
from reliability.digits import LIMIT_DIGITS, counted, percent, round_up, significant, years_at_risk
from reliability.errors import QuestionError
from reliability.poisson import doubled_p_value

if TYPE_CHECKING:
    from reliability.detection import Exclusion
    from reliability.interval import Interval
    from reliability.rate import Rate

LEAST_RATIO = 1.05  # a smaller excess takes more than 3,000 failures to find, and hours to reckon with
RATIO = 2.0  # an excess that matters: failing so many times as often as stated
SINGLE_LOOK = "single planned look"


class Verdict(Enum):
    """What the interval of an observed rate says about the stated one."""

    WORSE = "worse"  # it lies above the stated rate
    BETTER = "better"  # it lies below the stated rate
    CONSISTENT = "consistent"  # it holds the stated rate, and lies below a material excess over it
    TOO_LITTLE = "too little"  # it holds both


@dataclass(frozen=True, slots=True)
class Comparison:
    """An observed rate against a stated one; rates are failures per drive-year.

    ratio             the excess that matters, in multiples of the stated rate
    interval          limits of the observed rate
    at_most           one-sided limit of it, at the same level, told where nothing failed
    p_value           agrees with the interval, and stands in no sentence
    more_drive_years  further exposure for a definite verdict, as by the function of that name; None if it is
    look              how often the data are looked at, as the sentence says it
    """

    rate: Rate
    stated: float
    ratio: float
    interval: Interval
    at_most: float
    p_value: float
    verdict: Verdict
    more_drive_years: float | None
    look: str

    @property
    def expected_failures(self) -> float:
        """Failures in the observed exposure, had the model kept its stated rate."""
        return self.stated * self.rate.drive_years

    @property
    def sentence(self) -> str:
        """The verdict in words; without a failure, what zero failures show stands first."""
        if self.rate.failures or self.rate.per_year is None:
            return f"{self._verdict_in_words()} ({self.look})"
        return (
            f"No failure in {years_at_risk(self.rate.drive_years)}; "
            f"AFR at most {percent(self.at_most, LIMIT_DIGITS)} % (one-sided {level_in_words(self.interval)}). "
            f"{self._verdict_in_words()} ({self.look})"
        )

    def _verdict_in_words(self) -> str:
        stated = f"stated {percent(self.stated)} %"
        times = "twice" if self.ratio == RATIO else f"{self.ratio:g} times"
        more = self.more_drive_years
        needed = "" if more is None else f"Would need about {significant(more)} more drive-years."
        if self.rate.per_year is None:
            return f"Too little exposure to say: no exposure, {stated}. {needed}"
        observed, limits = f"AFR {percent(self.rate.per_year)} %", limits_in_words(self.interval)
        counts = f"{counted(self.rate.failures, 'failure')} in {years_at_risk(self.rate.drive_years)}"
        with_level = f"{level_in_words(self.interval)} {limits}"
        return {
            Verdict.WORSE: f"Worse than the datasheet: {counts}, {observed} ({with_level}), {stated}.",
            Verdict.BETTER: f"Better than the datasheet: {counts}, {observed} ({with_level}), {stated}.",
            Verdict.CONSISTENT: f"Consistent with the datasheet: {observed} ({limits}), {stated}; "
            f"{times} the stated rate is excluded.",
            Verdict.TOO_LITTLE: f"Too little exposure to say: {observed} ({limits}) includes both "
            f"the {stated} and {times} that. {needed}",
        }[self.verdict]


def compare(
    rate: Rate, stated: float, *, level: float = 0.95, ratio: float = RATIO, look: str = SINGLE_LOOK
) -> Comparison:
    """Compare an observed rate with a stated one.

    stated  failures per drive-year, above 0
    level   of the interval
    ratio   the excess that matters, above 1: "consistent" excludes it, "too little" cannot
    look    how often the data are looked at
    raises  `QuestionError` if `stated` or `ratio` is no such number

    >>> from reliability.rate import Rate
    >>> comparison = compare(Rate(4, 365_000), 0.0035)
    >>> comparison.verdict, comparison.more_drive_years
    (<Verdict.TOO_LITTLE: 'too little'>, 3700.0)

    Without exposure there is no rate, and the verdict is "too little".

    >>> compare(Rate(0, 0), 0.0035).sentence[:43]
    'Too little exposure to say: no exposure, st'
    """
    check_stated(stated, ratio)
    interval = rate.interval(level)
    verdict = verdict_of(interval, stated, ratio)
    return Comparison(
        rate=rate,
        stated=stated,
        ratio=ratio,
        interval=interval,
        at_most=rate.upper_one_sided(level),
        p_value=doubled_p_value(rate.failures, stated * rate.drive_years),
        verdict=verdict,
        more_drive_years=(
            more_drive_years(rate, stated, level, ratio) if verdict is Verdict.TOO_LITTLE else None
        ),
        look=look,
    )


def check_stated(stated: float, ratio: float) -> None:
    """Refuse, with `QuestionError`, a stated rate or an excess over it that is none."""
    if not 0 < stated < math.inf:
        raise QuestionError(
            f"A stated rate of {stated} failures per drive-year is none; give a number above 0."
        )
    if not LEAST_RATIO <= ratio < math.inf:
        raise QuestionError(
            f"A ratio of {ratio} is no excess over the stated rate that could be found; give {LEAST_RATIO} or more."
        )


def verdict_of(interval: Interval, stated: float, ratio: float = RATIO) -> Verdict:
    """Judge a stated rate by the interval of the observed one; a limit equal to it does not exclude it.

    >>> from reliability.interval import Interval
    >>> verdict_of(Interval(0.0035, 0.0069), 0.0035)
    <Verdict.CONSISTENT: 'consistent'>
    >>> verdict_of(Interval(0.0035, 0.0070), 0.0035)
    <Verdict.TOO_LITTLE: 'too little'>
    """
    if interval.low > stated:
        return Verdict.WORSE
    if interval.high < stated:
        return Verdict.BETTER
    return Verdict.CONSISTENT if interval.high < ratio * stated else Verdict.TOO_LITTLE


def more_drive_years(
    rate: Rate,
    stated: float,
    level: float = 0.95,
    ratio: float = RATIO,
    excluded_by: Exclusion | None = None,
) -> float:
    """Further drive-years after which a definite verdict is likely, rounded up to two digits.

    excluded_by  which counts exclude a rate, in expected failures; without it, those of the exact interval

    Likely is a probability of 0.8, given what was seen so far, that holds over the next 25 % of exposure too.
    Definite means for a model that runs at its stated rate that `ratio` times that rate is excluded (the
    verdict is consistent or better), and for one that runs at `ratio` times its stated rate that the stated
    rate is excluded (worse). The answer serves both: it is the larger of the two exposures.

    >>> from reliability.rate import Rate
    >>> more_drive_years(Rate(0, 0), 0.0035)
    3900.0
    """
    failures, expected = rate.failures, stated * rate.drive_years
    needed = max(
        expected_to_exclude(
            excluded, truth, failures=failures, expected=expected, level=level, by=excluded_by
        )
        for excluded, truth in ((1, ratio), (ratio, 1))
    )
    return round_up(needed / stated)


def limits_in_words(interval: Interval) -> str:
    """Write the limits of a rate per drive-year in percent.

    >>> from reliability.interval import Interval
    >>> limits_in_words(Interval(0.0035, 0.0123))
    '0.350-1.23 %'
    """
    return f"{percent(interval.low, LIMIT_DIGITS)}-{percent(interval.high, LIMIT_DIGITS)} %"


def level_in_words(interval: Interval) -> str:
    """Write the level of an interval in percent.

    >>> from reliability.interval import Interval
    >>> level_in_words(Interval(0.0, 1.0, 0.95))
    '95 %'
    """
    return f"{100 * interval.level:g} %"
