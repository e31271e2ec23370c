"""Contents to the tables behind the page, as CSV: rates per drive-year, and empty what is not there.

Text from the data stays as it is, also where a spreadsheet would take it for a formula: changing it would
change the data.
"""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING

from reliability.report.csv_text import csv_text
from reliability.report.ranking_tables import ranking_tables
from reliability.report.survival_tables import survival_tables
from reliability.report.verdict_tables import RATE, rate_cells, verdict_tables

if TYPE_CHECKING:
    from reliability.report.contents import Contents
    from reliability.report.csv_text import Value
    from reliability.report.grids import Estimate


def tables(contents: Contents) -> dict[str, str]:
    """File name to the text of each table, always the same names in the same order."""
    return {
        **verdict_tables(contents.lines),
        "quarters.csv": _quarters(contents),
        "ages.csv": _ages(contents),
        **ranking_tables(contents.side_by_side.ranking),
        **survival_tables(contents.survival),
        "forecast.csv": _forecast(contents),
        "sources.csv": _sources(contents),
        "set_aside.csv": csv_text(
            ("name", "reason"), ((each.name, each.reason) for each in contents.accounts.set_aside)
        ),
        "checks.csv": _checks(contents),
    }


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


def _forecast(contents: Contents) -> str:
    columns = (
        "model",
        "from",
        "days",
        "in_service",
        "expected",
        "low",
        "high",
        "spares",
        "service",
        "method",
    )
    found = contents.forecast
    rows = [*found.models.items(), ("", found.total)]
    return csv_text(
        (*columns, "unknown_age", "beyond", "dispersion"),
        (
            (
                *(model, str(found.last_day + timedelta(days=1)), found.days, each.in_service, each.expected),
                *(int(each.interval.low), int(each.interval.high), each.spares, each.service),
                *(each.method.title, each.unknown_age, each.beyond, each.dispersion),
            )
            for model, each in rows
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
    return (estimate.drives, *rate_cells(estimate.rate, estimate.interval))
