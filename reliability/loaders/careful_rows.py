"""Raw rows judged cell by cell: typed where they can be kept, rejects with line, column and reason where not."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import UTC, date, datetime
from typing import TYPE_CHECKING

from reliability.loaders.columns import FIRST_DAY, NUMBERS, REQUIRED
from reliability.loaders.mapping import COMMA, Mapping
from reliability.loaders.text import BLANKS, RAGGED

if TYPE_CHECKING:
    from reliability.loaders.engine import Engine
    from reliability.loaders.raw_rows import RawRows

SWAPPED = str.maketrans(",.", ".,")


@dataclass(frozen=True, slots=True)
class Reject:
    """A row that was not kept, and why."""

    line: int
    column: str | None
    value: str | None
    reason: str


def judge(engine: Engine, mapping: Mapping, day: date | None, raw: RawRows) -> list[Reject]:
    """Make the table `judged` of `raw`, every row typed, and return the rows that cannot be kept."""
    _type(engine, mapping, day, raw.date_format)
    rejects = [Reject(line, None, text, reason) for line, text, reason in raw.broken]
    return rejects + _faults(engine, mapping, raw)


def _type(engine: Engine, mapping: Mapping, day: date | None, date_format: str) -> None:
    """Make the table `judged`: every row typed, with the column at fault if there is one."""
    rules = {
        "day": day,
        "date_format": date_format,
        "failed_values": mapping.failed.values if mapping.failed is not None else None,
        "scales": mapping.scales(),
        "today": datetime.now(UTC).date(),
    }
    engine.make("plain_rows", "ingest/plain_rows", ragged=RAGGED, **rules)
    engine.make("careful_rows", "ingest/careful_rows", blanks=BLANKS, **rules)
    engine.define("judged", "ingest/judged")


def _faults(engine: Engine, mapping: Mapping, raw: RawRows) -> list[Reject]:
    rows = engine.ask("ingest/faults")
    if not rows:
        return []
    lines = raw.lines_of([ordinal for ordinal, *_ in rows])
    return [
        Reject(
            line,
            mapping.theirs(fault) or fault,
            _as_written(fault, cells[fault], raw.decimal),
            _reason(fault, cells[fault], day, raw),
        )
        for line, (_, fault, day, cells) in zip(lines, rows, strict=True)
    ]


def _as_written(name: str, cell: str | None, decimal: str) -> str | None:
    """The cell of a column as it stood in the file, where points and commas of numbers had changed places."""
    if cell is None or name not in NUMBERS or decimal != COMMA:
        return cell
    return cell.translate(SWAPPED)


def _reason(fault: str, cell: str | None, day: date | None, raw: RawRows) -> str:
    reason = reason_of(fault, cell, day, raw.date_format)
    has_comma = fault in NUMBERS and re.fullmatch(r"[-+]?\d+,\d+", (cell or "").strip(BLANKS))
    if raw.lines is None or raw.decimal == COMMA or not has_comma:  # Parquet has numbers as such
        return reason
    return f'{reason}; if its comma marks decimals, write decimal = "," in a mapping, under [file]'


def reason_of(fault: str, cell: str | None, day: date | None, date_format: str) -> str:
    """Why a row cannot be kept: in words, from the column at fault, its cell, and its day if it was one."""
    blank = cell is None or not cell.strip(BLANKS)
    if fault == "date" and day is not None and day >= FIRST_DAY:
        return f"the day {day} lies ahead of tomorrow (UTC)"
    if fault == "date":
        return "no date" if blank else f"no date written as {date_format}"
    if fault in REQUIRED:
        return f"no {fault}" if blank else f"a control character in the {fault}"
    if fault == "failed":
        return "no word known for failed or not; name the words that mean failed in a mapping, under [failed]"
    return "no finite number"
