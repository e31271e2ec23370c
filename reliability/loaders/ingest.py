"""One file becomes Parquet parts, a month each; what cannot be kept becomes rejects with line, column and reason."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import UTC, date, datetime
from typing import TYPE_CHECKING

from reliability.errors import SourceError
from reliability.loaders.columns import REQUIRED
from reliability.loaders.manifest import laid_aside
from reliability.loaders.raw_rows import RawRows, read_csv, read_parquet
from reliability.loaders.text import BLANKS, RAGGED

if TYPE_CHECKING:
    from pathlib import Path

    from reliability.loaders.engine import Engine
    from reliability.loaders.mapping import Mapping
    from reliability.loaders.sources import SourceFile

FIRST_YEAR = 1000  # of four digits; what is before is a slip, not a day of a fleet


@dataclass(frozen=True, slots=True)
class Reject:
    """A row that was not kept, and why."""

    line: int
    column: str | None
    value: str | None
    reason: str


@dataclass(frozen=True, slots=True)
class Ingested:
    """What one file came to: rows read = kept + rejected + duplicates."""

    rows_kept: int
    duplicate_rows: int
    rejects: tuple[Reject, ...]
    parts: dict[str, Path] = field(default_factory=dict)  # month -> file

    @property
    def rows_read(self) -> int:
        """Every record of the file that is not blank."""
        return self.rows_kept + self.duplicate_rows + len(self.rejects)


def ingest(engine: Engine, source: SourceFile, mapping: Mapping, store: Path, part_name: str) -> Ingested:
    """Read one file into parts of the store (snapshots/month=YYYY-MM/part_name).

    Raises SourceError, its text a reason, if the file cannot be used as a whole: unreadable, empty, without
    a required column, or a removal log.
    """
    day = mapping.day_in_name(source.base_name)
    with laid_aside(store) as aside, source.on_disk(aside) as path:
        if source.kind == "parquet":
            raw = read_parquet(engine, path, mapping, day_is_known=day is not None)
        else:
            packed = source.kind == "csv.gz"
            raw = read_csv(engine, path, mapping, aside, packed=packed, day_is_known=day is not None)
        if engine.count("raw") + len(raw.broken) == 0:
            raise SourceError("it has a header and no rows")
        _judge(engine, mapping, day, raw.date_format)
        rejects = [Reject(line, None, text, reason) for line, text, reason in raw.broken]
        rejects += _rejects(engine, mapping, raw)
    duplicates = int(engine.ask("ingest/repeated")[0][0])
    kept = engine.count("judged where fault_in_row is null") - duplicates
    parts = _write_parts(engine, source.name, store / "snapshots", part_name)
    return Ingested(kept, duplicates, tuple(sorted(rejects, key=lambda reject: reject.line)), parts)


def _judge(engine: Engine, mapping: Mapping, day: date | None, date_format: str) -> None:
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


def _rejects(engine: Engine, mapping: Mapping, raw: RawRows) -> list[Reject]:
    rows = engine.ask("ingest/faults")
    if not rows:
        return []
    lines = raw.lines_of([ordinal for ordinal, *_ in rows])
    return [
        Reject(
            line,
            mapping.theirs(fault) or fault,
            cells[fault],
            reason_of(fault, cells[fault], day, raw.date_format),
        )
        for line, (_, fault, day, cells) in zip(lines, rows, strict=True)
    ]


def reason_of(fault: str, cell: str | None, day: date | None, date_format: str) -> str:
    """Why a row cannot be kept: in words, from the column at fault, its cell, and its day if it was one."""
    blank = cell is None or not cell.strip(BLANKS)
    if fault == "date" and day is not None and day.year >= FIRST_YEAR:
        return f"the day {day} lies ahead of tomorrow (UTC)"
    if fault == "date":
        return "no date" if blank else f"no date written as {date_format}"
    if fault in REQUIRED:
        return f"no {fault}" if blank else f"a control character in the {fault}"
    if fault == "failed":
        return "no word known for failed or not; name the words that mean failed in a mapping, under [failed]"
    return "no finite number"


def _write_parts(engine: Engine, source_name: str, folder: Path, part_name: str) -> dict[str, Path]:
    parts = {}
    for (month,) in engine.ask("ingest/months"):
        name = f"{month:%Y-%m}"
        path = folder / f"month={name}" / part_name
        engine.write_rows("ingest/part", path, month=month, source=source_name)
        parts[name] = path
    return parts
