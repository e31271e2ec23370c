# ruff: noqa: INP001  (a script that is run by its path, not a module)
"""Makes every data file of the demonstration anew: `python data/demo/generate.py [FOLDER]`.

The same bytes come out each time (given the same versions of the Parquet and zlib libraries; the contents are
the same with any). What stands where is in README.md beside this file.
"""

from __future__ import annotations

import csv
import io
import json
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from demo_fleet.days import date_of
from demo_fleet.dictionary import schemas
from demo_fleet.files import csv_text, parquet_table, write_gzip, write_parquet, write_zip
from demo_fleet.layout import pieces
from demo_fleet.planting import plant
from demo_fleet.rows import columns_of
from demo_fleet.truth import count_cells, count_checks, count_ends, outages

if TYPE_CHECKING:
    from collections.abc import Iterator

    from demo_fleet.layout import Piece
    from demo_fleet.planting import Planted

BROKEN = "house/house-2024-06-copy.csv.gz"  # the copy broke off: cannot be read, and nothing is lost with it


def columns_of_piece(planted: Planted, piece: Piece) -> dict[str, list[object]]:
    """Return the columns of a piece: the plain rows by serial and day, then the extra rows."""
    columns: dict[str, list[object]] = {name: [] for name in piece.columns}
    for drive in planted.drives:
        reported = drive.reported_days().intersection(range(piece.first, piece.last + 1))
        days = sorted(day for day in reported if (drive.site_on(day) == "lantern-hill") == piece.of_lantern)
        if days:
            held = columns_of(drive, days)
            for name in piece.columns:
                columns[name] += held[name]
    for row in planted.extra_rows:
        if row.piece == piece.name and row.cells:
            for name in piece.columns:
                columns[name].append(row.cells[name])
    return columns


def as_rows(columns: dict[str, list[object]]) -> Iterator[dict[str, object]]:
    """Yield columns as rows."""
    for values in zip(*columns.values(), strict=True):
        yield dict(zip(columns, values, strict=True))


def account(planted: Planted, piece: Piece, rows: int) -> dict[str, int]:
    """Return how many rows of a piece are to be read, kept, rejected, and repeated."""
    fates = [row.fate for row in planted.extra_rows if row.piece == piece.name]
    rejected, repeated = fates.count("rejected"), fates.count("duplicate")
    return {
        "rows_read": rows,
        "rows_kept": rows - rejected - repeated,
        "rows_rejected": rejected,
        "duplicate_rows": repeated,
    }


def write_snapshots(planted: Planted, folder: Path) -> dict[str, dict[str, int]]:
    """Write all snapshot files and return their accounts."""
    accounts = {}
    archives: dict[str, dict[str, str]] = {}
    for piece in pieces():
        columns = columns_of_piece(planted, piece)
        path = folder / piece.path
        path.parent.mkdir(parents=True, exist_ok=True)
        lines = [row.line for row in planted.extra_rows if row.piece == piece.name and row.line]
        rows = len(columns["serial"]) + len(lines)
        if path.suffix == ".parquet":
            write_parquet(path, parquet_table(piece, columns))
        else:
            text = csv_text(piece, as_rows(columns), lines)
            if piece.member:
                archives.setdefault(piece.path, {})[piece.member] = text
            else:
                write_gzip(path, text)
        accounts[piece.name] = account(planted, piece, rows)
    for name, members in archives.items():
        write_zip(folder / name, members)
    whole = (folder / "house/house-2024-01.csv.gz").read_bytes()
    (folder / BROKEN).write_bytes(whole[:20_000])
    return accounts


def write_removals(planted: Planted, folder: Path) -> None:
    """Write the removal log."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(["serial", "date", "outcome", "model", "reason"])
    for entry in planted.log:
        writer.writerow([entry.serial, date_of(entry.day), entry.outcome, entry.model, entry.reason])
    (folder / "removals.csv").write_text(out.getvalue(), encoding="utf-8")


def truth(planted: Planted, accounts: dict[str, dict[str, int]]) -> dict[str, object]:
    """Return the planted truth."""
    serials = {drive.serial for drive in planted.drives}
    relabelled = {drive.serial for drive in planted.drives if ("model_changed", 0) in drive.findings}
    ending = {e for e in planted.log if e.outcome != "moved"}
    nameless = sum(e.serial not in serials or (e.serial in relabelled and not e.model) for e in ending)
    totals = {key: sum(held[key] for held in accounts.values()) for key in next(iter(accounts.values()))}
    reported = sum(len(drive.reported_days().intersection(drive.days_at_risk())) for drive in planted.drives)
    return {
        "first_day": str(date_of(0)),
        "files_set_aside": [BROKEN],
        "rows": totals,
        "drives": len(planted.drives),
        "days_reported": reported,
        "ends": count_ends(planted.drives),
        "cells": count_cells(planted.drives),
        "checks": count_checks(planted.drives, nameless),
        "outages": outages(),
        "files": accounts,
    }


def write_json(path: Path, held: object) -> None:
    """Write something as JSON for people to read."""
    path.write_text(json.dumps(held, indent=1, ensure_ascii=False) + "\n", encoding="utf-8")


def main(folder: Path) -> None:
    """Write the demonstration into a folder."""
    planted = plant()
    accounts = write_snapshots(planted, folder)
    write_removals(planted, folder)
    write_json(folder / "truth.json", truth(planted, accounts))
    for name, schema in schemas().items():
        write_json(folder / name, schema)


if __name__ == "__main__":
    main(Path(sys.argv[1]) if len(sys.argv) > 1 else Path(__file__).parent)
