"""One line for each model: what was seen of it up to the report's last day, and against what."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from reliability.comparer.preemptive import preemptive_bounds
from reliability.comparer.stated import Verdict, compare
from reliability.comparer.vanished import vanished_bounds
from reliability.digits import counted, round_up, years_at_risk
from reliability.rate import Rate
from reliability.spelling import folded

if TYPE_CHECKING:
    from collections.abc import Iterable

    from reliability.comparer.preemptive import PreemptiveBounds
    from reliability.comparer.stated import Comparison
    from reliability.comparer.vanished import VanishedBounds
    from reliability.datasheet import Datasheet
    from reliability.interval import Interval
    from reliability.loaders.reasons import Retirements

_ORDER = (Verdict.WORSE, Verdict.BETTER, Verdict.CONSISTENT, Verdict.TOO_LITTLE, None)
_QUARTERS_A_YEAR = 4
_LONG = 8  # so many quarters and more are told in years


@dataclass(frozen=True, slots=True)
class Seen:
    """What the store holds of one model up to the report's last day."""

    model: str
    drives: int
    rate: Rate
    vanished: int  # drives that stopped appearing by then, without a flag or a record
    pace: float  # drive-years gathered in the report's own quarter
    preemptive: int = 0  # lives retired for warning signs by then
    unclear: tuple[tuple[str | None, int], ...] = ()  # reasons of retirements that tell neither, and how many


@dataclass(frozen=True, slots=True)
class ModelLine:
    """A model's rate, and how it stands against its datasheet if there is one."""

    seen: Seen
    interval: Interval  # exact, of the rate per drive-year
    datasheet: Datasheet | None
    comparison: Comparison | None  # None exactly without a datasheet
    vanished: VanishedBounds | None  # None exactly if no drive vanished
    preemptive: PreemptiveBounds  # with drives retired for warning signs as failures; there may be none
    pace: str | None  # a sentence on when there will be enough; None if there is, or if it cannot be said

    @property
    def model(self) -> str:
        """The name as the store shows it; as its datasheet has it if no drive of the model was seen."""
        return self.seen.model

    @property
    def stated(self) -> float | None:
        """Failures per drive-year by the datasheet; None without one."""
        return None if self.datasheet is None else self.datasheet.stated_rate

    @property
    def verdict(self) -> Verdict | None:
        """None without a datasheet."""
        return None if self.comparison is None else self.comparison.verdict


def model_lines(
    seen: Iterable[Seen], datasheets: Iterable[Datasheet], *, level: float, material: float
) -> tuple[ModelLine, ...]:
    """Hold every model against its datasheet: those that are worse come first, those without one last.

    material   how many times the stated rate a verdict of consistent has to exclude

    A datasheet belongs to the model whose name has the same folding; one without drives has no exposure.
    """
    sheets = {folded(sheet.model): sheet for sheet in datasheets}
    pairs = [(each, sheets.pop(folded(each.model), None)) for each in seen]
    pairs += [(Seen(sheet.model, 0, Rate(0, 0), 0, 0.0), sheet) for sheet in sheets.values()]
    lines = [_line(each, sheet, level, material) for each, sheet in pairs]
    return tuple(sorted(lines, key=lambda line: (_ORDER.index(line.verdict), line.model)))


def with_retirements(seen: Seen, retired: Retirements | None) -> Seen:
    """What was seen of a model, and why its drives were retired; None: none was."""
    if retired is None:
        return seen
    return replace(seen, preemptive=retired.preemptive, unclear=retired.unclear)


def headline(lines: Iterable[ModelLine]) -> str:
    """Say in one sentence how many models have which verdict."""
    verdicts = [line.verdict for line in lines if line.verdict is not None]
    if not verdicts:
        return "No model has a datasheet, so no rate is held against a stated one."
    ends = {
        Verdict.WORSE: "worse than stated",
        Verdict.BETTER: "better than stated",
        Verdict.CONSISTENT: "consistent with what is stated",
    }
    counts = [(verdicts.count(verdict), end) for verdict, end in ends.items()]
    parts = [f"{count} {'is' if count == 1 else 'are'} {end}" for count, end in counts if count]
    if unsaid := verdicts.count(Verdict.TOO_LITTLE):
        parts.append(f"for {unsaid} there is too little exposure to say")
    return f"Of {counted(len(verdicts), 'model')} with a datasheet, {_listed(parts)}."


def _listed(parts: list[str]) -> str:
    return " and ".join(filter(None, (", ".join(parts[:-1]), parts[-1])))


def _line(seen: Seen, sheet: Datasheet | None, level: float, material: float) -> ModelLine:
    stated = None if sheet is None else sheet.stated_rate
    comparison = None if stated is None else compare(seen.rate, stated, level=level, ratio=material)
    bounds = None
    if seen.vanished:
        bounds = vanished_bounds(seen.rate, seen.vanished, stated, level=level, ratio=material)
    more = None if comparison is None else comparison.more_drive_years
    pulled = preemptive_bounds(
        seen.rate, seen.preemptive, stated, unclear=seen.unclear, level=level, ratio=material
    )
    interval, pace = seen.rate.interval(level), _pace(more, seen.pace)
    return ModelLine(seen, interval, sheet, comparison, bounds, pulled, pace)


def _pace(more: float | None, pace: float) -> str | None:
    if not more or not pace or not math.isfinite(more):
        return None
    quarters = math.ceil(round_up(more / pace))
    years = f"{round_up(quarters / _QUARTERS_A_YEAR):,.1f}".removesuffix(".0")
    length = counted(quarters, "quarter") if quarters < _LONG else f"{years} years"
    return f"At this quarter's pace of {years_at_risk(pace)}, that takes about {length}."
