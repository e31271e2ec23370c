"""`driveyears compare`: observed rates against stated ones."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import Annotated

import numpy as np
from cyclopts import Parameter

from reliability.cli.looks import Schedule, looks_so_far, planned_looks
from reliability.cli.options import DEFAULT_STORE, Datasheets, Format, StoreFolder
from reliability.cli.output import out, write_csv, write_json, write_table
from reliability.cli.preemptive import write_preemptive
from reliability.cli.running import begun
from reliability.cli.spreads import write_spreads
from reliability.cli.stated import stated_for
from reliability.cli.words import exposure, percent_or_dash
from reliability.comparer.running import EVERY_LOOK
from reliability.comparer.stated import RATIO, limits_in_words
from reliability.comparer.vanished import Bound, vanished_bounds
from reliability.digits import percent
from reliability.loaders.accounts import Silent
from reliability.loaders.store import Store, open_store
from reliability.report.model_lines import SEED, ModelLine, in_order, model_lines
from reliability.report.running import RunningLine
from reliability.report.seen import seen_of

LEVEL = 0.95
NESTED = (
    "best",
    "worst",
    "with_preemptive",
    "unclear_retirements",
    "holm_verdict",
    "spread_verdict",
    "running",
)  # not in the CSV


def compare(
    *,
    datasheets: Datasheets,
    looks: Annotated[
        str | None,
        Parameter(
            help="quarters, planned in advance, at whose ends the data are looked at, such as 2026Q1-2027Q4; "
            "without it, this is the only look"
        ),
    ] = None,
    store: StoreFolder = DEFAULT_STORE,
    shown_as: Format = "table",
) -> None:
    """Compare the rate of each model with the stated one: worse, better, consistent, or too little to say."""
    opened = open_store(store)
    lines = compared(opened, datasheets, None if looks is None else Schedule.parse(looks))
    rows = [_row(line) for line in sorted(lines, key=lambda line: line.model)]
    if shown_as == "json":
        write_json({"models": rows})
    elif shown_as == "csv":
        write_csv(rows, [name for name in rows[0] if name not in NESTED])
    else:
        write_lines(lines, opened.silent())


def compared(store: Store, datasheets: Path, schedule: Schedule | None = None) -> tuple[ModelLine, ...]:
    """Every model against its datasheet, over all days of the store, or up to the last look that was planned.

    In the order of the verdicts of that look.
    """
    sheets = stated_for(store, datasheets)
    reached = () if schedule is None else looks_so_far(store, schedule)
    last_day = reached[-1].last_day if reached else None
    vanished = {each.model: each.vanished for each in store.outcomes(last_day)}
    seen = seen_of(store, store.exposure(last_day=last_day), vanished, fixed=begun(store), last_day=last_day)
    if schedule is not None:
        planned = planned_looks(store, schedule, reached, LEVEL)
        seen = [replace(each, planned=planned[each.model]) for each in seen]
    lines = model_lines(seen, sheets, level=LEVEL, material=RATIO, rng=np.random.default_rng(SEED))
    return in_order(lines, lambda line: line.single_verdict)


def _row(line: ModelLine) -> dict[str, object]:
    rate, comparison = line.seen.rate, line.comparison
    # The bounds are told for every model: without a vanished drive, best and worst are the rate itself.
    bounds = line.vanished or vanished_bounds(rate, 0, line.stated, level=LEVEL)
    return {
        "model": line.model,
        "stated_rate": line.stated,
        "failures": rate.failures,
        "drive_years": rate.drive_years,
        "expected_failures": None if comparison is None else comparison.expected_failures,
        "afr": rate.per_year,
        "afr_low": line.interval.low,
        "afr_high": line.interval.high,
        "p_value": None if comparison is None else comparison.p_value,
        "verdict": None if comparison is None else comparison.verdict.value,
        "sentence": None if comparison is None else comparison.sentence,
        "more_drive_years": None if comparison is None else comparison.more_drive_years,
        "vanished": bounds.vanished,
        "best": _bound(bounds.best),
        "worst": _bound(bounds.worst),
        "tipping": bounds.tipping,
        "depends_on_vanished": bounds.depends,
        "preemptive": line.preemptive.count,
        "with_preemptive": _bound(line.preemptive.counted),
        "depends_on_preemptive": line.preemptive.depends,
        "unclear_retirements": [
            {"reason": reason, "retirements": number} for reason, number in line.preemptive.unclear
        ],
        "holm_verdict": None if line.holm is None else line.holm.verdict.value,
        "spread_verdict": None if line.spread_verdict is None else line.spread_verdict.value,
        "running": None if line.running is None else _running(line.running),
    }


def _running(running: RunningLine) -> dict[str, object]:
    return {
        "low": running.interval.low,
        "high": running.interval.high,
        "verdict": None if running.comparison is None else running.comparison.verdict.value,
        "since": running.fixed.since,
    }


def _bound(bound: Bound) -> dict[str, object]:
    verdict = None if bound.verdict is None else bound.verdict.value
    return {
        "failures": bound.failures,
        "afr": bound.per_year,
        "afr_low": bound.interval.low,
        "afr_high": bound.interval.high,
        "verdict": verdict,
    }


def write_lines(lines: Sequence[ModelLine], silent: Sequence[Silent]) -> None:
    """The models with their verdicts as a table, and below it each verdict's sentence."""
    headings = ("Model", "Failures", "Drive-years", "Rate per year (95 %)", "Stated", "Verdict")
    write_table(
        "Observed against stated",
        [(name, "left" if name in ("Model", "Verdict") else "right") for name in headings],
        [
            [
                line.model,
                f"{line.seen.rate.failures:,}",
                exposure(line.seen.rate),
                f"{percent_or_dash(line.seen.rate.per_year)} {_limits(line)}",
                "-" if line.stated is None else f"{percent(line.stated)} %",
                "no datasheet" if line.single_verdict is None else line.single_verdict.value,
            ]
            for line in lines
        ],
    )
    for line in lines:
        _write_sentences(line)
    write_preemptive(lines)
    write_spreads(lines)
    for each in silent:
        out().print(str(each), markup=False)
    out().print(CAUTION)


def _limits(line: ModelLine) -> str:
    if line.seen.rate.per_year is None:
        return "no exposure"
    return f"({limits_in_words(line.interval).removesuffix(' %')})"


def _write_sentences(line: ModelLine) -> None:
    """The verdict of a single look and what it allows for, then the running comparison, if a report began one."""
    if line.comparison is None:
        out().print(f"{line.model}: no datasheet, so nothing to compare with.", markup=False)
        return
    out().print(f"{line.model}: {line.comparison.sentence}", markup=False)
    said = list(line.allowances)
    if line.vanished is not None:
        said.append(f"{line.vanished.sentence} ({line.comparison.look})")
    if line.preemptive.depends:
        said.append(f"{line.preemptive.sentence} ({line.comparison.look})")
    if line.running is not None:
        said += [f"Since {line.running.fixed.since}: {line.running.sentence}", *line.running_allowances]
        if line.running.vanished is not None:
            said.append(f"{line.running.vanished.sentence} ({EVERY_LOOK})")
        if line.running.preemptive.depends:
            said.append(f"{line.running.preemptive.sentence} ({EVERY_LOOK})")
    for sentence in said:
        out().print(f"    {sentence}", markup=False)


CAUTION = (
    "These rates describe fleets; they predict no single drive. A gap from the datasheet is no proof that it is "
    "false: a stated rate holds for its own load, heat and way of counting. Redundancy is no backup."
)
