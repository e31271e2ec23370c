"""`driveyears compare`: observed rates against stated ones."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from reliability.cli.allowances import Allowances, allowances, write_spreads
from reliability.cli.options import DEFAULT_STORE, Datasheets, Format, StoreFolder
from reliability.cli.output import out, write_csv, write_json, write_table
from reliability.cli.preemptive import write_preemptive
from reliability.cli.stated import stated_for
from reliability.cli.words import exposure, limits, percent_or_dash
from reliability.comparer.stated import RATIO
from reliability.comparer.vanished import Bound, vanished_bounds
from reliability.digits import percent
from reliability.loaders.accounts import Silent
from reliability.loaders.store import Store, open_store
from reliability.report.model_lines import ModelLine, Seen, model_lines, with_retirements

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
    *, datasheets: Datasheets, store: StoreFolder = DEFAULT_STORE, shown_as: Format = "table"
) -> None:
    """Compare the rate of each model with the stated one: worse, better, consistent, or too little to say."""
    opened = open_store(store)
    lines = compared(opened, datasheets)
    allowed = allowances(opened, lines, LEVEL)
    rows = [_row(line, allowed.get(line.model)) for line in sorted(lines, key=lambda line: line.model)]
    if shown_as == "json":
        write_json({"models": rows})
    elif shown_as == "csv":
        write_csv(rows, [name for name in rows[0] if name not in NESTED])
    else:
        write_lines(lines, opened.silent(), allowed)


def compared(store: Store, datasheets: Path) -> tuple[ModelLine, ...]:
    """Every model, over all days of the store, against its datasheet."""
    vanished = {each.model: each.vanished for each in store.outcomes()}
    retired = {each.model: each for each in store.retirements()}
    models = [(str(cell.labels["model"]), cell) for cell in store.exposure().cells]
    seen = [
        with_retirements(Seen(model, cell.drives, cell.rate, vanished[model], 0.0), retired.get(model))
        for model, cell in models
    ]
    return model_lines(seen, stated_for(store, datasheets), level=LEVEL, material=RATIO)


def _row(line: ModelLine, allowed: Allowances | None) -> dict[str, object]:
    rate, comparison = line.seen.rate, line.comparison
    spread_verdict = None if allowed is None else allowed.spread_verdict
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
        "holm_verdict": None if allowed is None else allowed.holm.verdict.value,
        "spread_verdict": None if spread_verdict is None else spread_verdict.value,
        "running": None,
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


def write_lines(
    lines: tuple[ModelLine, ...], silent: tuple[Silent, ...], allowed: Mapping[str, Allowances]
) -> None:
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
                f"{percent_or_dash(line.seen.rate.per_year)} {limits(line.seen.rate, LEVEL)}",
                "-" if line.stated is None else f"{percent(line.stated)} %",
                "no datasheet" if line.verdict is None else line.verdict.value,
            ]
            for line in lines
        ],
    )
    for line in lines:
        if line.comparison is None:
            out().print(f"{line.model}: no datasheet, so nothing to compare with.", markup=False)
            continue
        out().print(f"{line.model}: {line.comparison.sentence}", markup=False)
        for sentence in allowed[line.model].sentences:
            out().print(f"    {sentence}", markup=False)
        if line.vanished is not None:
            out().print(f"    {line.vanished.sentence}", markup=False)
        if line.preemptive.depends:
            out().print(f"    {line.preemptive.sentence}", markup=False)
    write_preemptive(lines)
    write_spreads(list(allowed.values()))
    for each in silent:
        out().print(str(each), markup=False)
    out().print(CAUTION)


CAUTION = (
    "These rates describe fleets; they predict no single drive. A gap from the datasheet is no proof that it is "
    "false: a stated rate holds for its own load, heat and way of counting. Redundancy is no backup."
)
