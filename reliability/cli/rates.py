"""`driveyears rates`: failures, drive-years and the rate with its interval, per cell and in total."""

from __future__ import annotations

from typing import Annotated

from cyclopts import Parameter

from reliability.cli.options import DEFAULT_STORE, FirstDay, Format, LastDay, StoreFolder, day
from reliability.cli.output import out, say, write_csv, write_json, write_table
from reliability.cli.words import exposure, limits, percent_or_dash
from reliability.digits import counted, years_at_risk
from reliability.loaders.exposure import Cell, Exposure
from reliability.loaders.store import open_store

LEVEL = 0.95
HEADINGS = {
    "model": "Model",
    "quarter": "Quarter",
    "age_from_days": "Age, days",
    "site": "Site",
    "rack": "Rack",
    "batch": "Batch",
}
COUNTS = ("drives", "drive_days", "drive_years", "failures", "afr", "afr_low", "afr_high")


def rates(
    *,
    by: Annotated[
        str, Parameter(help="cells: any of model, quarter, age, site, rack, batch, with commas between")
    ] = "model",
    first_day: FirstDay = None,
    last_day: LastDay = None,
    store: StoreFolder = DEFAULT_STORE,
    shown_as: Format = "table",
) -> None:
    """Failures, drive-years and the rate with its exact 95 % interval, per cell and in total."""
    groups = tuple(dict.fromkeys(name for part in by.split(",") if (name := part.strip())))
    opened = open_store(store)
    found = opened.exposure(groups, day("--from", first_day), day("--to", last_day))
    rows = [_row(cell) for cell in found.cells]
    if not found.cells:
        say(
            f"driveyears: no drive was seen in this window; the data go from {opened.first_day} to {opened.last_day}."
        )
    if shown_as == "json":
        left_out = {
            "drives": found.left_out.drives,
            "drive_days": found.left_out.drive_days,
            "failures": found.left_out.failures,
        }
        write_json({"level": LEVEL, "rows": rows, "total": _row(found.total), "left_out": left_out})
    elif shown_as == "csv":
        labels = [
            name
            for given in groups
            for name in (("age_from_days", "age_to_days") if given == "age" else (given,))
        ]
        write_csv(rows, [*labels, *COUNTS])
    else:
        _write_table(found)


def _row(cell: Cell) -> dict[str, object]:
    rate = cell.rate
    interval = rate.interval(LEVEL)
    counts = (
        cell.drives,
        cell.drive_days,
        rate.drive_years,
        cell.failures,
        rate.per_year,
        interval.low,
        interval.high,
    )
    return {**cell.labels, **dict(zip(COUNTS, counts, strict=True))}


def _write_table(found: Exposure) -> None:
    names = [name for given in found.by for name in (("age_from_days",) if given == "age" else (given,))]
    columns = [(HEADINGS[name], "left") for name in names] or [("", "left")]
    columns += [(name, "right") for name in ("Drives", "Failures", "Drive-years", "Rate per year (95 %)")]
    rows = [[*(_label(cell, name) for name in names), *_numbers(cell)] for cell in found.cells]
    rows = rows if names else []
    total = ["All", *[""] * (len(names) - 1)] if names else ["All"]
    write_table("Failure rates", columns, [*rows, [*total, *_numbers(found.total)]])
    if found.left_out.drives:
        left = found.left_out
        out().print(
            f"Left out of the cells, and in the total: {counted(left.drives, 'drive')} of unknown age, "
            f"{years_at_risk(left.rate.drive_years)}, {counted(left.failures, 'failure')}."
        )
        if left.failures > found.total.failures / 10:
            out().print("Warning: they hold over 10 % of the failures, so the rates by age may mislead.")
    out().print("A rate speaks of a fleet, never of one drive. A low rate is no substitute for backups.")


def _label(cell: Cell, name: str) -> str:
    if name == "age_from_days":
        low, high = cell.labels["age_from_days"], cell.labels["age_to_days"]
        return f"over {low}" if high is None else f"{low} to {high}"
    value = cell.labels[name]
    return "not told" if value is None else str(value)


def _numbers(cell: Cell) -> list[str]:
    rate = cell.rate
    return [
        f"{cell.drives:,}",
        f"{cell.failures:,}",
        exposure(rate),
        f"{percent_or_dash(rate.per_year)} {limits(rate, LEVEL)}".strip(),
    ]
