"""The running comparison of one model: what holds at every look, since what was fixed at the first report."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from reliability.comparer.holm import AfterHolm, after_holm
from reliability.comparer.preemptive import PreemptiveBounds, preemptive_bounds
from reliability.comparer.running import EVERY_LOOK, Fixed, compare_running
from reliability.comparer.stated import level_in_words, limits_in_words
from reliability.comparer.vanished import VanishedBounds, vanished_bounds
from reliability.digits import LIMIT_DIGITS, counted, percent, years_at_risk

if TYPE_CHECKING:
    from collections.abc import Mapping

    from reliability.comparer.stated import Comparison
    from reliability.interval import Interval
    from reliability.rate import Rate


@dataclass(frozen=True, slots=True)
class RunningLine:
    """A model's failures since its comparison began, and the limits that hold at every look.

    comparison  None exactly without a datasheet
    vanished    None exactly if no drive vanished
    preemptive  with drives retired for warning signs since then as failures; there may be none
    """

    fixed: Fixed
    rate: Rate
    comparison: Comparison | None
    vanished: VanishedBounds | None
    preemptive: PreemptiveBounds

    @property
    def interval(self) -> Interval:
        """Limits of the rate per drive-year."""
        return self.fixed.mixture.interval(self.rate)

    @property
    def sentence(self) -> str:
        """The verdict in words; without a datasheet, the rate and its limits."""
        if self.comparison is not None:
            return self.comparison.sentence
        if self.rate.per_year is None:
            return f"No exposure since {self.fixed.since}. ({EVERY_LOOK})"
        observed = f"{counted(self.rate.failures, 'failure')} in {years_at_risk(self.rate.drive_years)}"
        level = level_in_words(self.interval)
        if not self.rate.failures:
            at_most = percent(self.interval.high, LIMIT_DIGITS)
            return f"{observed}: AFR at most {at_most} % (one-sided {level}). ({EVERY_LOOK})"
        limits = limits_in_words(self.interval)
        return f"{observed}: AFR {percent(self.rate.per_year)} % ({level} {limits}). ({EVERY_LOOK})"

    @property
    def prior(self) -> str:
        """On what the prior was centred when the comparison began, and what is stated now if that is another rate."""
        if self.fixed.stated is None:
            return "no stated rate"
        now = self.comparison and self.comparison.stated
        changed = now is not None and now != self.fixed.stated
        return f"stated {percent(self.fixed.stated)} %" + f", now {percent(now or 0)} %" * changed


def running_line(  # noqa: PLR0913  (each is one thing that was counted or stated)
    fixed: Fixed, rate: Rate, vanished: int, stated: float | None, *, material: float, pulled: int = 0
) -> RunningLine:
    """Judge one model by its running comparison.

    rate      failures and exposure since it began
    vanished  drives that vanished by now; those that vanished before it began widen the worst case, and no more
    stated    failures per drive-year; None without a datasheet
    pulled    drives retired for warning signs since it began
    """
    mixture = fixed.mixture
    bounds = None
    if vanished:
        bounds = vanished_bounds(
            rate, vanished, stated, level=mixture.level, ratio=material, limits_of=mixture.interval
        )
    comparison = None if stated is None else compare_running(rate, stated, mixture, ratio=material)
    pulled_bounds = preemptive_bounds(
        rate, pulled, stated, level=mixture.level, ratio=material, limits_of=mixture.interval
    )
    return RunningLine(fixed, rate, comparison, bounds, pulled_bounds)


def running_after_holm(lines: Mapping[str, RunningLine]) -> dict[str, AfterHolm]:
    """Allow in each running verdict for all models compared, by their p-values that hold at every look."""

    def limits_of(model: str, rate: Rate, level: float) -> Interval:
        return replace(lines[model].fixed.mixture, level=level).interval(rate)

    compared = {model: line.comparison for model, line in lines.items() if line.comparison is not None}
    return after_holm(compared, limits_of)
