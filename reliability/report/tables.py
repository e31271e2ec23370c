"""Contents to the tables behind the page, as CSV: rates per drive-year, and empty what is not there.

Text from the data stays as it is, also where a spreadsheet would take it for a formula: changing it would
change the data.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from reliability.report.csv_text import csv_text
from reliability.report.survival_tables import survival_tables

if TYPE_CHECKING:
    from reliability.interval import Interval
    from reliability.rate import Rate
    from reliability.report.contents import Contents
    from reliability.report.csv_text import Value
    from reliability.report.grids import Estimate

RATE = ("failures", "drive_days", "drive_years", "afr", "afr_low", "afr_high")


def tables(contents: Contents) -> dict[str, str]:
    """File name to the text of each table, always the same names in the same order."""
    return {
        "verdicts.csv": _verdicts(contents),
        "quarters.csv": _quarters(contents),
        "ages.csv": _ages(contents),
        **survival_tables(contents.survival),
        "sources.csv": _sources(contents),
        "set_aside.csv": csv_text(
            ("name", "reason"), ((each.name, each.reason) for each in contents.accounts.set_aside)
        ),
        "checks.csv": _checks(contents),
    }


def _verdicts(contents: Contents) -> str:
    columns = ("model", "drives", *RATE, "stated_rate", "expected_failures", "p_value", "verdict", "sentence")
    pulled = ("preemptive", "preemptive_afr", "preemptive_verdict")
    vanished = ("vanished", "best_afr", "best_verdict", "worst_afr", "worst_verdict", "tipping")
    rows = []
    for line in contents.lines:
        found, bounds = line.comparison, line.vanished
        row: list[Value] = [line.model, line.seen.drives, *_rate(line.seen.rate, line.interval), line.stated]
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
        rows.append([*row, line.preemptive.counted.per_year, None if verdict is None else verdict.value])
    return csv_text((*columns, "more_drive_years", *vanished, *pulled), rows)


def _quarters(contents: Contents) -> str:
    grid = contents.by_quarter
    return csv_text(
        ("model", "quarter", "drives", *RATE, "stated_rate"),
        (
            (row.model, str(quarter), *_estimate(estimate), row.stated)
            for row in grid.rows
            for quarter, estimate in zip(grid.columns, row.estimates, strict=True)
        ),
    )


def _ages(contents: Contents) -> str:
    grid = contents.by_age
    return csv_text(
        ("model", "age_from_days", "age_to_days", "drives", *RATE, "stated_rate"),
        (
            (row.model, band.from_days, band.to_days, *_estimate(estimate), row.stated)
            for row in grid.rows
            for band, estimate in zip(grid.columns, row.estimates, strict=True)
        ),
    )


def _sources(contents: Contents) -> str:
    columns = ("name", "digest", "rows_read", "rows_kept", "rows_rejected", "duplicate_rows")
    return csv_text(
        columns, ([getattr(each, column) for column in columns] for each in contents.reproduction.sources)
    )


def _checks(contents: Contents) -> str:
    columns = ("check", "findings", "drives", "rows", "meaning", "price")
    return csv_text(
        columns, ([getattr(each, column) for column in columns] for each in contents.accounts.findings)
    )


def _estimate(estimate: Estimate) -> tuple[Value, ...]:
    return (estimate.drives, *_rate(estimate.rate, estimate.interval))


def _rate(rate: Rate, interval: Interval) -> tuple[Value, ...]:
    return (rate.failures, rate.drive_days, rate.drive_years, rate.per_year, interval.low, interval.high)
