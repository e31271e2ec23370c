"""Drives retired for warning signs: the rate, and the verdict, with them as failures.

Such a drive is censored at its retirement by default, as every retired one is. But it was pulled because it might
have failed soon, so that its leaving says something of its failing, and a rate without it is too low. With it as
a failure the rate is that of drives which failed or were about to, at the worst.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from reliability.comparer.stated import RATIO, Verdict, check_stated, verdict_of
from reliability.comparer.vanished import Bound
from reliability.digits import counted
from reliability.errors import QuestionError
from reliability.rate import Rate

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from reliability.interval import Interval

_IS = {
    Verdict.WORSE: "worse than the datasheet",
    Verdict.BETTER: "better than the datasheet",
    Verdict.CONSISTENT: "consistent with the datasheet",
    Verdict.TOO_LITTLE: "too little exposure to say",
}
_MOST_REASONS = 3  # named in a sentence
_LONGEST = 60  # characters of a reason in it


@dataclass(frozen=True, slots=True)
class PreemptiveBounds:
    """The same drives, those retired for warning signs counted as they are and as failures.

    count    of them
    without  they are censored at their retirement: the rate as it stands elsewhere
    counted  they are failures on the day of their retirement
    unclear  reasons that tell neither a warning sign nor a plan, each with how many; None: no reason
    """

    count: int
    without: Bound
    counted: Bound
    unclear: tuple[tuple[str | None, int], ...]

    @property
    def depends(self) -> bool:
        """Whether the verdict depends on how they are counted."""
        return self.without.verdict is not self.counted.verdict

    @property
    def sentence(self) -> str | None:
        """What their failing would change, in words; None if there is none of them."""
        if not self.count:
            return None
        retirements = counted(self.count, "pre-emptive retirement")
        verdict = self.counted.verdict
        if verdict is None:
            return f"{retirements}; as failures: {self.counted}."
        if not self.depends:
            return f"Does not depend on the {retirements}: as failures {self.counted}."
        return f"Depends on the {retirements}: as failures {self.counted}, which would be {_IS[verdict]}."

    @property
    def unclear_sentence(self) -> str | None:
        """The reasons that nobody has explained, and what to do; None if there is none."""
        if not self.unclear:
            return None
        most_first = sorted(self.unclear, key=lambda each: -each[1])
        named = [
            f"{number:,} {'without a reason' if reason is None else _quoted(reason)}"
            for reason, number in most_first[:_MOST_REASONS]
        ]
        more = len(most_first) - _MOST_REASONS
        others = f", and {counted(more, 'other reason')}" if more > 0 else ""
        total = counted(sum(number for _, number in self.unclear), "retirement")
        return (
            f"Counted as planned, for the log does not tell: {total} ({', '.join(named)}{others}). "
            "Name such reasons in a mapping, under [retired]."
        )


def _quoted(reason: str) -> str:
    """A reason as a sentence has it: what a terminal would obey is written out, a long text cut."""
    return repr(reason if len(reason) <= _LONGEST else f"{reason[: _LONGEST - 3]}...")


def preemptive_bounds(  # noqa: PLR0913  (each is one thing that the figures are made of)
    rate: Rate,
    count: int,
    stated: float | None,
    *,
    unclear: Sequence[tuple[str | None, int]] = (),
    level: float = 0.95,
    ratio: float = RATIO,
    limits_of: Callable[[Rate], Interval] | None = None,
) -> PreemptiveBounds:
    """Count drives retired for warning signs as failures, beside the rate that censors them.

    rate      with all retired drives censored
    count     how many of them were retired for warning signs, 0 or more
    stated    failures per drive-year, above 0; None: no verdicts
    level     of the intervals
    ratio     the excess that matters, as in `compare`
    limits_of how limits are made, if not exactly at this level: those of a running comparison, say

    The exposure is the same: it ends with the retirement either way.

    >>> found = preemptive_bounds(Rate(30, 3_650_000), 22, 0.0035)
    >>> found.without.verdict, found.counted.verdict, found.counted.failures
    (<Verdict.CONSISTENT: 'consistent'>, <Verdict.WORSE: 'worse'>, 52)
    """
    if not (count >= 0 and count % 1 == 0):
        raise QuestionError(f"{count} drives cannot have been retired; give a whole number, 0 or more.")
    if stated is not None:
        check_stated(stated, ratio)

    def bound(failing: int) -> Bound:
        having = Rate(rate.failures + failing, rate.drive_days)
        interval = having.interval(level) if limits_of is None else limits_of(having)
        verdict = None if stated is None else verdict_of(interval, stated, ratio)
        return Bound(having.failures, having.per_year, interval, verdict)

    return PreemptiveBounds(count, bound(0), bound(count), tuple(unclear))
