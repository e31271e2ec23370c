"""The tables behind the verdicts: at a single look, at every look, and the spread between groups."""

from __future__ import annotations

from typing import TYPE_CHECKING

from reliability.report.csv_text import csv_text

if TYPE_CHECKING:
    from collections.abc import Sequence

    from reliability.interval import Interval
    from reliability.rate import Rate
    from reliability.report.csv_text import Value
    from reliability.report.model_lines import ModelLine

RATE = ("failures", "drive_days", "drive_years", "afr", "afr_low", "afr_high")


def verdict_tables(lines: Sequence[ModelLine]) -> dict[str, str]:
    """File name to the text of each table; `verdicts.csv` is of a single look."""
    return {"verdicts.csv": _verdicts(lines), "running.csv": _running(lines), "spread.csv": _spread(lines)}


def rate_cells(rate: Rate, interval: Interval) -> tuple[Value, ...]:
    """Give the cells of the columns `RATE`."""
    return (rate.failures, rate.drive_days, rate.drive_years, rate.per_year, interval.low, interval.high)


def _verdicts(lines: Sequence[ModelLine]) -> str:
    columns = ("model", "drives", *RATE, "stated_rate", "expected_failures", "p_value", "verdict", "sentence")
    pulled = ("preemptive", "preemptive_afr", "preemptive_verdict")
    vanished = ("vanished", "best_afr", "best_verdict", "worst_afr", "worst_verdict", "tipping")
    rows = []
    for line in lines:
        found, bounds = line.comparison, line.vanished
        row: list[Value] = [
            line.model,
            line.seen.drives,
            *rate_cells(line.seen.rate, line.interval),
            line.stated,
        ]
        row += (
            [None] * 4
            if found is None
            else [found.expected_failures, found.p_value, found.verdict.value, found.sentence]
        )
        row += [None if found is None else found.more_drive_years, line.seen.vanished]
        for case in (None, None) if bounds is None else (bounds.best, bounds.worst):
            verdict = None if case is None else case.verdict
            row += [None if case is None else case.per_year, None if verdict is None else verdict.value]
        row += [None if bounds is None else bounds.tipping, line.preemptive.count]
        verdict = line.preemptive.counted.verdict
        row += [line.preemptive.counted.per_year, None if verdict is None else verdict.value]
        row += [None if line.holm is None else line.holm.verdict.value]
        rows.append([*row, None if line.spread_verdict is None else line.spread_verdict.value])
    allowing = ("holm_verdict", "spread_verdict")
    return csv_text((*columns, "more_drive_years", *vanished, *pulled, *allowing), rows)


def _running(lines: Sequence[ModelLine]) -> str:
    columns = ("model", "since", *RATE, "stated_rate", "p_value", "verdict", "holm_verdict", "sentence")
    vanished = ("vanished", "best_verdict", "worst_verdict", "tipping")
    prior = ("prior_shape", "prior_drive_years", "prior_stated_rate")
    rows = []
    for line in lines:
        if line.running is None:
            continue
        running, found, bounds = line.running, line.running.comparison, line.running.vanished
        row: list[Value] = [line.model, str(running.fixed.since), *rate_cells(running.rate, running.interval)]
        row += [line.stated, *((None, None) if found is None else (found.p_value, found.verdict.value))]
        row += [None if line.running_holm is None else line.running_holm.verdict.value, running.sentence]
        row += [None if found is None else found.more_drive_years, line.seen.vanished]
        for case in (None, None) if bounds is None else (bounds.best, bounds.worst):
            row.append(None if case is None or case.verdict is None else case.verdict.value)
        mixture = running.fixed.mixture
        row += [None if bounds is None else bounds.tipping, mixture.shape, mixture.drive_years]
        rows.append([*row, running.fixed.stated])
    return csv_text((*columns, "more_drive_years", *vanished, *prior), rows)


def _spread(lines: Sequence[ModelLine]) -> str:
    columns = (
        "model",
        "label",
        "groups",
        "pearson_index",
        "p_value",
        "afr",
        "afr_low",
        "afr_high",
        "verdict",
    )
    rows: list[list[Value]] = []
    for line in lines:
        found, verdict = line.spread, line.spread_verdict
        if found is not None:
            row: list[Value] = [line.model, found.label, found.groups, found.test.index, found.test.p_value]
            row += [found.rate.per_year, found.interval.low, found.interval.high]
            rows.append([*row, None if verdict is None else verdict.value])
    return csv_text(columns, rows)
