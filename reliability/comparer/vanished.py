"""What vanished drives could change: none of them failed, all of them failed, and where the verdict tips."""

from __future__ import annotations

import math
from bisect import bisect_right
from dataclasses import dataclass
from typing import TYPE_CHECKING

from reliability.comparer.stated import RATIO, Verdict, check_stated, limits_in_words, verdict_of
from reliability.digits import counted, percent
from reliability.errors import QuestionError
from reliability.interval import Interval
from reliability.rate import Rate

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Mapping

_BY_FAILURES = (
    Verdict.BETTER,
    Verdict.CONSISTENT,
    Verdict.TOO_LITTLE,
    Verdict.WORSE,
)  # as failures are added
_WOULD = {
    Verdict.CONSISTENT: "make it consistent with the datasheet",
    Verdict.TOO_LITTLE: "leave too little exposure to say",
    Verdict.WORSE: "make it worse than the datasheet",
}


@dataclass(frozen=True, slots=True)
class Bound:
    """The rate if so many drives failed; rates are failures per drive-year.

    per_year  None without exposure
    verdict   None without a stated rate
    """

    failures: int
    per_year: float | None
    interval: Interval
    verdict: Verdict | None

    def __str__(self) -> str:
        """Write the rate with its limits, and the verdict if there is one."""
        if self.per_year is None:
            return "no exposure"
        verdict = f", {self.verdict.value}" if self.verdict else ""
        return f"AFR {percent(self.per_year)} % ({limits_in_words(self.interval)}{verdict})"


@dataclass(frozen=True, slots=True)
class VanishedBounds:
    """What is known whatever became of the drives that vanished; they count as exposure up to last sight.

    best, worst  none of them failed; all of them failed
    turns        each further verdict, with the least number of them that must have failed to bring it about
    """

    vanished: int
    best: Bound
    worst: Bound
    turns: tuple[tuple[int, Verdict], ...]

    @property
    def union(self) -> Interval:
        """From the lower limit at best to the upper limit at worst."""
        return Interval(self.best.interval.low, self.worst.interval.high, self.best.interval.level)

    @property
    def tipping(self) -> int | None:
        """How many of them must have failed to change the verdict; None if no number does."""
        return self.turns[0][0] if self.turns else None

    @property
    def depends(self) -> bool:
        """Whether the verdict depends on what became of them."""
        return bool(self.turns)

    @property
    def sentence(self) -> str:
        """The bounds in words, and what would change the verdict."""
        if not self.vanished:
            return "No drive vanished."
        cases = f"best case {self.best}, worst case {self.worst}"
        drives = counted(self.vanished, "drive")
        if self.best.verdict is None:
            return f"{drives} vanished: {cases}."
        if not self.depends:
            return f"Does not depend on the {drives} that vanished: {cases}."
        turns = ", ".join(
            f"{number:,} of them failing would {_WOULD[verdict]}" for number, verdict in self.turns
        )
        return f"Depends on the {drives} that vanished: {cases}; {turns}."


def taken_as_censored(vanished: Mapping[str, int]) -> str | None:
    """Say of which models drives vanished, where what is said of them takes none of these as failed.

    vanished  drives by model
    returns   None if none vanished

    >>> print(taken_as_censored({"TARN T18": 28, "Osk 4": 1}).partition(". ")[0])
    Counted up to the day last seen, and not as failed: 28 drives of TARN T18, 1 drive of Osk 4 that vanished
    """
    told = [f"{counted(drives, 'drive')} of {model}" for model, drives in vanished.items() if drives]
    if not told:
        return None
    models, others = ("these models", "them") if len(told) > 1 else ("this model", "it")
    drives = "those drives" if sum(vanished.values()) > 1 else "that drive"
    return (
        f"Counted up to the day last seen, and not as failed: {', '.join(told)} that vanished. "
        f"What is said of {models}, and of others against {others}, depends on what became of {drives}."
    )


def vanished_bounds(  # noqa: PLR0913  (the last three have defaults that fit)
    rate: Rate,
    vanished: int,
    stated: float | None,
    *,
    level: float = 0.95,
    ratio: float = RATIO,
    limits_of: Callable[[Rate], Interval] | None = None,
) -> VanishedBounds:
    """Bound a rate, and its verdict, by what may have become of drives that vanished.

    rate       with the vanished drives censored at last sight
    vanished   how many, 0 or more
    stated     failures per drive-year, above 0; None: no verdicts
    level      of the exact intervals
    ratio      the excess that matters, as in `compare`
    limits_of  how limits are made, if not exactly at this level: those of a running comparison, say. For one
               exposure they must rise with the failures

    >>> from reliability.rate import Rate
    >>> bounds = vanished_bounds(Rate(30, 3_650_000), 40, 0.0035)
    >>> bounds.best.verdict, bounds.worst.verdict, bounds.tipping
    (<Verdict.CONSISTENT: 'consistent'>, <Verdict.WORSE: 'worse'>, 18)
    """
    if not (vanished >= 0 and vanished % 1 == 0):
        raise QuestionError(f"{vanished} drives cannot have vanished; give a whole number, 0 or more.")
    if stated is not None:
        check_stated(stated, ratio)

    def bound(failing: int) -> Bound:
        failures = rate.failures + failing
        if not rate.drive_days:
            interval = Interval(0.0, math.inf, level)
        else:
            case = Rate(failures, rate.drive_days)
            interval = case.interval(level) if limits_of is None else limits_of(case)
        return Bound(
            failures=failures,
            per_year=failures / rate.drive_years if rate.drive_days else None,
            interval=interval,
            verdict=None if stated is None else verdict_of(interval, stated, ratio),
        )

    return VanishedBounds(
        vanished=vanished, best=bound(0), worst=bound(vanished), turns=tuple(_turns(vanished, bound))
    )


def _turns(vanished: int, bound: Callable[[int], Bound]) -> Iterator[tuple[int, Verdict]]:
    """Each change of the verdict as more of them fail; more failures never lead back to an earlier one."""

    def rank(failing: int) -> int:
        verdict = bound(failing).verdict
        return _BY_FAILURES.index(verdict) if verdict else 0

    failing = 0
    while (failing := bisect_right(range(vanished + 1), rank(failing), lo=failing, key=rank)) <= vanished:
        yield failing, _BY_FAILURES[rank(failing)]
