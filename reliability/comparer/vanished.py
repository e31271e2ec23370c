"""What vanished drives could change: none of them failed, all of them failed, and where the verdict tips."""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass
from typing import TYPE_CHECKING

from reliability.comparer.stated import RATIO, Verdict, limits_in_words, verdict_of
from reliability.digits import counted, percent
from reliability.errors import QuestionError
from reliability.interval import Interval
from reliability.poisson import garwood_interval

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from reliability.rate import Rate

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


def vanished_bounds(
    rate: Rate, vanished: int, stated: float | None, *, level: float = 0.95, ratio: float = RATIO
) -> VanishedBounds:
    """Bound a rate, and its verdict, by what may have become of drives that vanished.

    rate      with the vanished drives censored at last sight
    vanished  how many, 0 or more
    stated    failures per drive-year, above 0; None: no verdicts
    level     of the intervals
    ratio     the excess that matters, as in `compare`

    >>> from reliability.rate import Rate
    >>> bounds = vanished_bounds(Rate(30, 3_650_000), 40, 0.0035)
    >>> bounds.best.verdict, bounds.worst.verdict, bounds.tipping
    (<Verdict.CONSISTENT: 'consistent'>, <Verdict.WORSE: 'worse'>, 18)
    """
    if vanished < 0:
        raise QuestionError(f"{vanished} drives cannot have vanished; give a whole number, 0 or more.")

    def bound(failing: int) -> Bound:
        failures = rate.failures + failing
        interval = garwood_interval(failures, level) / rate.drive_years
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
