"""Several tests at once: p-values and verdicts that allow for how many there are."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from reliability.comparer.stated import Comparison, Verdict, verdict_of

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence

    from reliability.interval import Interval
    from reliability.rate import Rate

DEFINITE = (Verdict.WORSE, Verdict.BETTER)


def holm(p_values: Sequence[float | None]) -> list[float | None]:
    """Adjust p-values so that the chance of any false finding among them stays as stated, dependent or not.

    p_values  None where there was nothing to test: it stays None and is not counted
    returns   in the same order; the smallest times their number, the next times one less, and so on, none
              below one before it, none over 1

    Source: Holm (1979), Scandinavian Journal of Statistics 6, 65-70.

    >>> holm([0.01, None, 0.04, 0.03])
    [0.03, None, 0.06, 0.06]
    """
    tested = sorted((p, place) for place, p in enumerate(p_values) if p is not None)
    adjusted: list[float | None] = [None] * len(p_values)
    reached = 0.0
    for rank, (p, place) in enumerate(tested):
        reached = max(reached, min(1.0, (len(tested) - rank) * p))
        adjusted[place] = reached
    return adjusted


@dataclass(frozen=True, slots=True)
class AfterHolm:
    """One model's verdict against its datasheet, allowing for all models compared.

    alone    its verdict on its own figures
    verdict  the same, unless that was worse or better and does not hold among so many
    p_value  adjusted; None without exposure, when nothing was tested
    models   how many were compared: those with a stated rate and exposure
    """

    alone: Verdict
    verdict: Verdict
    p_value: float | None
    models: int

    @property
    def sentence(self) -> str | None:
        """What became of a definite verdict; None if there was none, or no other model to allow for."""
        if self.alone not in DEFINITE or self.models == 1:
            return None
        if self.verdict is self.alone:
            return f"Still {self.alone.value} after allowing for {self.models} models compared."
        return (
            f"{self.alone.value.capitalize()} on its own figures, "
            f"but not after allowing for {self.models} models compared."
        )


def exact_limits(_: str, rate: Rate, level: float) -> Interval:
    """Exact limits of any model's rate, for one look."""
    return rate.interval(level)


def after_holm(
    comparisons: Mapping[str, Comparison],
    limits_of: Callable[[str, Rate, float], Interval] = exact_limits,
) -> dict[str, AfterHolm]:
    """Allow, in each model's verdict against its datasheet, for all models that were compared.

    limits_of  how the limits in these comparisons were made: of a model, for its rate, at a level

    A model without exposure keeps "too little" and is not counted. A verdict of worse or better that does not
    hold becomes what limits of the level that Holm leaves to those not rejected say: these hold the stated rate.
    "Consistent" and "too little" reject nothing, and stay.
    """
    p_values = [c.p_value if c.rate.drive_days else None for c in comparisons.values()]
    adjusted = holm(p_values)
    compared = sum(p is not None for p in p_values)
    found = {}
    for (model, comparison), p in zip(comparisons.items(), adjusted, strict=True):
        alpha = 1 - comparison.interval.level
        rejected = sum(other is not None and other < alpha for other in adjusted)
        verdict = comparison.verdict
        if verdict in DEFINITE and p is not None and p >= alpha:
            wider = limits_of(model, comparison.rate, 1 - alpha / (compared - rejected))
            verdict = verdict_of(wider, comparison.stated, comparison.ratio)
        found[model] = AfterHolm(comparison.verdict, verdict, p, compared)
    return found
