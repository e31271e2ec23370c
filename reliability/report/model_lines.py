"""One line for each model: what was seen of it up to the report's last day, and against what."""

from __future__ import annotations

import math
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

from reliability.comparer.batches import Spread, widest_spread
from reliability.comparer.holm import AfterHolm, after_holm
from reliability.comparer.preemptive import PreemptiveBounds, preemptive_bounds
from reliability.comparer.running import EVERY_LOOK
from reliability.comparer.spending import compare_planned
from reliability.comparer.stated import SINGLE_LOOK, Verdict, compare, verdict_of
from reliability.comparer.vanished import vanished_bounds
from reliability.digits import counted, round_up, years_at_risk
from reliability.rate import Rate
from reliability.report.running import RunningLine, running_after_holm, running_line
from reliability.spelling import folded

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Mapping, Sequence

    import numpy as np

    from reliability.comparer.running import Fixed
    from reliability.comparer.spending import PlannedLooks
    from reliability.comparer.stated import Comparison
    from reliability.comparer.vanished import VanishedBounds
    from reliability.datasheet import Datasheet
    from reliability.interval import Interval

_ORDER = (Verdict.WORSE, Verdict.BETTER, Verdict.CONSISTENT, Verdict.TOO_LITTLE, None)
_QUARTERS_A_YEAR = 4
_LONG = 8  # so many quarters and more are told in years
LABELS = ("batch", "rack", "site")  # under which failures may lie together
SEED = 365  # of all draws, so that the same store gives the same numbers


@dataclass(frozen=True, slots=True)
class Seen:
    """What the store holds of one model up to the report's last day.

    vanished    drives that stopped appearing by then, without a flag or a record
    pace        drive-years gathered in the report's own quarter
    groups      for each label, failures and exposure of its groups; drives without the label are in none, since
                what they share is only that nobody wrote it down
    running     what its running comparison fixed, and what it has counted since; None if none has begun
    preemptive  lives retired for warning signs by then
    planned     looks planned in advance, of which this is one; None: a single look
    unclear     reasons of retirements that tell neither a warning sign nor a plan, and how many
    pulled_since  of the preemptive ones those since the running comparison began
    """

    model: str
    drives: int
    rate: Rate
    vanished: int
    pace: float
    groups: Mapping[str, Sequence[Rate]] = field(default_factory=dict)
    running: tuple[Fixed, Rate] | None = None
    preemptive: int = 0
    planned: PlannedLooks | None = None
    unclear: tuple[tuple[str | None, int], ...] = ()
    pulled_since: int = 0


@dataclass(frozen=True, slots=True)
class ModelLine:
    """A model's rate, and how it stands against its datasheet if there is one.

    interval      exact, of the rate per drive-year
    comparison    at a single look; None exactly without a datasheet
    spread        how far its failures spread between groups; None if no label has groups and failures enough
    vanished      at a single look; None exactly if no drive vanished
    preemptive    at a single look, with drives retired for warning signs as failures; there may be none
    running       None if no running comparison has begun
    pace          a sentence on when there will be enough; None if there is, or if it cannot be said
    holm          the verdict of a single look, allowing for all models compared; None without a datasheet
    running_holm  that of the running comparison, the same
    """

    seen: Seen
    interval: Interval
    datasheet: Datasheet | None
    comparison: Comparison | None
    spread: Spread | None
    vanished: VanishedBounds | None
    preemptive: PreemptiveBounds
    running: RunningLine | None
    pace: str | None = None
    holm: AfterHolm | None = None
    running_holm: AfterHolm | None = None

    @property
    def model(self) -> str:
        """The name as the store shows it; as its datasheet has it if no drive of the model was seen."""
        return self.seen.model

    @property
    def stated(self) -> float | None:
        """Failures per drive-year by the datasheet; None without one."""
        return None if self.datasheet is None else self.datasheet.stated_rate

    @property
    def leading(self) -> Comparison | None:
        """The comparison that a recurring report goes by: the running one, if it has begun."""
        return self.comparison if self.running is None else self.running.comparison

    @property
    def leading_preemptive(self) -> PreemptiveBounds:
        """With drives retired for warning signs as failures, by the look that the report goes by."""
        return self.preemptive if self.running is None else self.running.preemptive

    @property
    def verdict(self) -> Verdict | None:
        """That of the leading comparison; None without a datasheet."""
        return None if self.leading is None else self.leading.verdict

    @property
    def single_verdict(self) -> Verdict | None:
        """The verdict of a single look; None without a datasheet."""
        return None if self.comparison is None else self.comparison.verdict

    @property
    def spread_verdict(self) -> Verdict | None:
        """The verdict of a single look by the limits that hold other groups too."""
        if self.spread is None or self.comparison is None:
            return None
        hull = self.spread.widened(self.comparison.interval)
        return verdict_of(hull, self.comparison.stated, self.comparison.ratio)

    @property
    def verdict_on_the_model(self) -> Verdict | None:
        """The leading verdict by limits that hold other groups too; None if no label has groups enough."""
        if self.spread is None or self.leading is None:
            return None
        hull = self.spread.widened(self.leading.interval)
        return verdict_of(hull, self.leading.stated, self.leading.ratio)

    @property
    def allowances(self) -> list[str]:
        """What is said below the sentence of a single look."""
        return _allowances(self.comparison, self.holm, self.spread)

    @property
    def running_allowances(self) -> list[str]:
        """What is said below the sentence of the running comparison."""
        running = None if self.running is None else self.running.comparison
        return _allowances(running, self.running_holm, self.spread)


def model_lines(
    seen: Iterable[Seen],
    datasheets: Iterable[Datasheet],
    *,
    level: float,
    material: float,
    rng: np.random.Generator,
) -> tuple[ModelLine, ...]:
    """Hold every model against its datasheet: those that are worse come first, those without one last.

    material   how many times the stated rate a verdict of consistent has to exclude
    rng        where chance comes from, for the spread between groups

    A datasheet belongs to the model whose name has the same folding; one without drives has no exposure.
    """
    sheets = {folded(sheet.model): sheet for sheet in datasheets}
    pairs = [(each, sheets.pop(folded(each.model), None)) for each in seen]
    looks = _without_exposure(each.planned for each, _ in pairs)
    pairs += [(Seen(sheet.model, 0, Rate(0, 0), 0, 0.0, planned=looks), sheet) for sheet in sheets.values()]
    lines = _allowing_for_all([_line(each, sheet, level, material, rng) for each, sheet in pairs])
    return in_order(lines, lambda line: line.verdict)


def _without_exposure(planned: Iterable[PlannedLooks | None]) -> PlannedLooks | None:
    """Take the looks of the other models for one of which no drive was seen, so that all are judged at one look."""
    first = next((looks for looks in planned if looks is not None), None)
    return None if first is None else replace(first, drive_years=(0.0,) * len(first.drive_years))


def in_order(
    lines: Iterable[ModelLine], verdict_of: Callable[[ModelLine], Verdict | None]
) -> tuple[ModelLine, ...]:
    """Sort by a verdict, the worse first and those without one last, and then by name."""
    return tuple(sorted(lines, key=lambda line: (_ORDER.index(verdict_of(line)), line.model)))


def headline(lines: Sequence[ModelLine]) -> str:
    """Say in one sentence how many models have which verdict, and at what kind of look."""
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
    return f"Of {counted(len(verdicts), 'model')} with a datasheet, {_listed(parts)} ({look_of(lines)})."


def look_of(lines: Iterable[ModelLine]) -> str:
    """Say by what kind of look a report goes; a datasheet without drives has begun no running comparison."""
    return EVERY_LOOK if any(line.running is not None for line in lines) else SINGLE_LOOK


def _line(
    seen: Seen, sheet: Datasheet | None, level: float, material: float, rng: np.random.Generator
) -> ModelLine:
    """One model on its own."""
    stated = None if sheet is None else sheet.stated_rate
    bounds = running = None
    if seen.vanished:
        bounds = vanished_bounds(
            seen.rate,
            seen.vanished,
            stated,
            level=level,
            ratio=material,
            limits_of=None if seen.planned is None else seen.planned.interval,
        )
    if seen.running is not None:
        running = running_line(
            *seen.running, seen.vanished, stated, material=material, pulled=seen.pulled_since
        )
    line = ModelLine(
        seen=seen,
        interval=_limits(seen, seen.rate, level),
        datasheet=sheet,
        comparison=None if stated is None else _compared(seen, stated, level, material),
        spread=None if stated is None else widest_spread(seen.rate, seen.groups, rng=rng, level=level),
        vanished=bounds,
        preemptive=preemptive_bounds(
            seen.rate,
            seen.preemptive,
            stated,
            unclear=seen.unclear,
            level=level,
            ratio=material,
            limits_of=None if seen.planned is None else seen.planned.interval,
        ),
        running=running,
    )
    return replace(line, pace=_pace(line.leading, seen.pace))


def _limits(seen: Seen, rate: Rate, level: float) -> Interval:
    """Limits of a rate in a model's exposure, at the kind of look that was asked for."""
    return rate.interval(level) if seen.planned is None else replace(seen.planned, level=level).interval(rate)


def _compared(seen: Seen, stated: float, level: float, material: float) -> Comparison:
    if seen.planned is None:
        return compare(seen.rate, stated, level=level, ratio=material)
    return compare_planned(seen.rate, stated, replace(seen.planned, level=level), ratio=material)


def _allowing_for_all(lines: Sequence[ModelLine]) -> list[ModelLine]:
    """Allow in the verdicts of each look for how many models it compares."""
    seen = {line.model: line.seen for line in lines}
    single = after_holm(
        {line.model: line.comparison for line in lines if line.comparison is not None},
        lambda model, rate, level: _limits(seen[model], rate, level),
    )
    running = running_after_holm({line.model: line.running for line in lines if line.running is not None})
    return [
        replace(line, holm=single.get(line.model), running_holm=running.get(line.model)) for line in lines
    ]


def _listed(parts: list[str]) -> str:
    return " and ".join(filter(None, (", ".join(parts[:-1]), parts[-1])))


def _allowances(comparison: Comparison | None, holm: AfterHolm | None, spread: Spread | None) -> list[str]:
    if comparison is None:
        return []
    said = [] if holm is None or holm.sentence is None else [holm.sentence]
    if spread is not None:
        said.append(spread.about(comparison.stated, comparison.ratio, comparison.interval))
    return said


def _pace(leading: Comparison | None, pace: float) -> str | None:
    more = None if leading is None else leading.more_drive_years
    if not more or not pace or not math.isfinite(more):
        return None
    quarters = math.ceil(round_up(more / pace))
    years = f"{round_up(more / pace / _QUARTERS_A_YEAR):,.1f}".removesuffix(".0")
    length = counted(quarters, "quarter") if quarters < _LONG else f"{years} years"
    return f"At this quarter's pace of {years_at_risk(pace)}, that takes about {length}."
