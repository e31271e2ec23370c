"""Failures that come in batches: limits wide enough for the model, other batches included."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from scipy.special import stdtrit

from reliability.comparer.homogeneity import DRAWS, Homogeneity, homogeneity, pearson
from reliability.comparer.stated import RATIO, Verdict, level_in_words, limits_in_words, verdict_of
from reliability.digits import counted, percent, significant
from reliability.errors import QuestionError
from reliability.interval import Interval
from reliability.rate import Rate

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    import numpy as np

LEAST_GROUPS = 5
LEAST_FAILURES = 5
_PLURALS = {"batch": "batches"}
_IN_WORDS = {
    Verdict.WORSE: "it is worse than the datasheet",
    Verdict.BETTER: "it is better than the datasheet",
    Verdict.CONSISTENT: "it is consistent with the datasheet",
    Verdict.TOO_LITTLE: "there is too little exposure to say",
}


@dataclass(frozen=True, slots=True)
class Spread:
    """One rate, and how far it spreads between groups; rates are failures per drive-year.

    label        what was grouped by: batch, rack, site
    rate         all drives, those without a label included
    grouped      those with one
    groups       how many groups they form
    test         whether the groups differ by more than chance
    quasi        limits from the spread between groups (quasi-Poisson)
    interval     the wider of these and the exact ones, at each end
    """

    label: str
    rate: Rate
    grouped: Rate
    groups: int
    test: Homogeneity
    quasi: Interval
    interval: Interval

    @property
    def grouping(self) -> str:
        """What was grouped, in words, such as "6 batches"."""
        return f"{self.groups} {_PLURALS.get(self.label, f'{self.label}s')}"

    @property
    def sentence(self) -> str:
        """What was grouped, how far it spreads, and the limits that hold for other groups too."""
        p_value = self.test.p_value
        differ = p_value is not None and p_value < 1 - self.interval.level
        apart = "further apart than" if differ else "no further apart than"
        unknown = self.rate.failures - self.grouped.failures
        without = f" {counted(unknown, 'failure')} without a {self.label} left out of the spread." * bool(
            unknown
        )
        return (
            f"{counted(self.grouped.failures, 'failure')} in {self.grouping}, {apart} chance puts them "
            f"(Pearson index {significant(self.test.index)}).{without} "
            f"For the model, other {_PLURALS.get(self.label, f'{self.label}s')} included: "
            f"AFR {percent(self.rate.per_year or 0)} % "
            f"({level_in_words(self.interval)} {limits_in_words(self.interval)})."
        )

    def verdict(self, stated: float, ratio: float = RATIO) -> Verdict:
        """Judge a stated rate by the wider limits."""
        return verdict_of(self.interval, stated, ratio)

    def widened(self, limits: Interval) -> Interval:
        """Widen other limits of the rate, such as those of a running comparison, by the spread."""
        return _hull(limits, self.quasi)

    def about(self, stated: float, ratio: float = RATIO, limits: Interval | None = None) -> str:
        """Say whether a verdict is about the model, or only about these drives.

        limits  by which it was found, if not the exact ones
        """
        exact = self.rate.interval(self.interval.level) if limits is None else limits
        own, hull = verdict_of(exact, stated, ratio), self.widened(exact)
        wider = verdict_of(hull, stated, ratio)
        told = f"with the spread between {self.grouping} AFR {limits_in_words(hull)}"
        if wider is own:
            return f"The verdict is about the model: {told}, and it stays."
        return (
            f"The verdict is about these drives only: {told}, "
            f"so for the model, other {_PLURALS.get(self.label, f'{self.label}s')} included, {_IN_WORDS[wider]}."
        )


def qualifies(groups: Sequence[Rate]) -> bool:
    """Whether groups are enough to see a spread: five with exposure, five failures in them."""
    exposed = [group for group in groups if group.drive_days]
    return len(exposed) >= LEAST_GROUPS and sum(group.failures for group in exposed) >= LEAST_FAILURES


def spread(  # noqa: PLR0913  (the last three have defaults that fit)
    label: str,
    groups: Sequence[Rate],
    rate: Rate | None = None,
    *,
    rng: np.random.Generator,
    level: float = 0.95,
    draws: int = DRAWS,
) -> Spread:
    """Widen the limits of a rate by how far groups of its drives lie apart.

    label   what the drives are grouped by: batch, rack, site
    groups  failures and exposure of each; those without exposure are not counted
    rate    all drives, if some are in no group; else the sum of the groups
    rng     where chance comes from, for the p-value
    raises  `QuestionError` for fewer than five groups with exposure, or fewer than five failures in them

    The limits are rate x exp(-+ t sqrt(phi / x)) with x failures, t of groups - 1 degrees of freedom, and phi the
    Pearson index, but at least 1 (quasi-Poisson; McCullagh & Nelder 1989). They are always widened, not only
    if the groups visibly differ: five batches rarely show their spread, and still have it.

    >>> import numpy as np
    >>> batches = [Rate(x, 365_000) for x in (1, 2, 4, 6, 17)]
    >>> found = spread("batch", batches, rng=np.random.default_rng(1))
    >>> print(found.sentence.partition(". ")[0])
    30 failures in 5 batches, further apart than chance puts them (Pearson index 6.9)
    >>> f"{found.rate.interval().high:.4f} {found.interval.high:.4f}"
    '0.0086 0.0228'
    """
    exposed = [group for group in groups if group.drive_days]
    grouped = sum(exposed, start=Rate(0, 0))
    if not qualifies(exposed):
        raise QuestionError(
            f"{counted(grouped.failures, 'failure')} in {counted(len(exposed), 'group')} by {label} show no spread; "
            f"it takes {LEAST_FAILURES} failures in {LEAST_GROUPS} groups: group by another label, or wait for more."
        )
    rate = grouped if rate is None else rate
    test = homogeneity(exposed, rng=rng, draws=draws)
    quasi = _quasi_interval(rate, exposed, level)
    return Spread(label, rate, grouped, len(exposed), test, quasi, _hull(rate.interval(level), quasi))


def widest_spread(
    rate: Rate, labels: Mapping[str, Sequence[Rate]], *, rng: np.random.Generator, level: float = 0.95
) -> Spread | None:
    """Widen by the label under which the rate spreads furthest; None if no label has groups enough.

    labels  for each label, failures and exposure of its groups; drives without the label belong to none
    """
    exact = rate.interval(level)

    def width(label: str) -> float:
        limits = _hull(exact, _quasi_interval(rate, [g for g in labels[label] if g.drive_days], level))
        return limits.high - limits.low

    widest = max((label for label, groups in labels.items() if qualifies(groups)), key=width, default=None)
    return None if widest is None else spread(widest, labels[widest], rate, rng=rng, level=level)


def _quasi_interval(rate: Rate, exposed: Sequence[Rate], level: float) -> Interval:
    degrees = len(exposed) - 1
    dispersion = max(1.0, pearson(exposed) / degrees)
    estimate = rate.failures / rate.drive_years
    reach = float(stdtrit(degrees, (1 + level) / 2)) * math.sqrt(dispersion / rate.failures)
    return Interval(estimate * math.exp(-reach), estimate * math.exp(reach), level)


def _hull(one: Interval, other: Interval) -> Interval:
    return Interval(min(one.low, other.low), max(one.high, other.high), one.level)
