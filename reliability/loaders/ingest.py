"""One file becomes Parquet parts, a month each; what cannot be kept becomes rejects with file, line, column and reason."""

from __future__ import annotations

import codecs
import csv
import gzip
import shutil
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import UTC, date, datetime
from pathlib import Path
from typing import TextIO

import duckdb

from reliability.errors import SourceError
from reliability.loaders.columns import NAMES, NUMBERS, REQUIRED
from reliability.loaders.engine import Engine
from reliability.loaders.mapping import DELIMITERS, ISO_DAY, Mapping
from reliability.loaders.sources import SourceFile

BLANKS = " \t\r\n\v\f\u00a0\ufeff"
READ_BY_ENGINE = {"utf-8": "utf-8", "iso8859-1": "latin-1", "utf-16": "utf-16"}
RECORD_LIMIT = 16 * 1024 * 1024


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


def ingest(engine: Engine, source: SourceFile, mapping: Mapping, folder: Path, part_name: str) -> Ingested:
    """Read one file into parts below `folder` (month=YYYY-MM/part_name).

    Raises SourceError, its text a reason, if the file cannot be used as a whole: unreadable, empty, without a required column.
    """
    try:
        day = mapping.day_in_name(source.base_name)
    except ValueError as error:
        raise SourceError(str(error)) from None
    with source.on_disk(folder) as path:
        if source.kind == "parquet":
            format_found = _read_parquet(engine, path, mapping, day)
            broken: list[Reject] = []
            lines = None
        else:
            with _as_engine_reads(path, source, mapping, folder) as (readable, encoding):
                header = _header(path, source, mapping)
                broken, broken_records = _read_csv(engine, readable, encoding, header, mapping, day)
                lines = _Lines(path, source, mapping, broken_records)
            format_found = mapping.date_format()
        if engine.count("raw") + len(broken) == 0:
            raise SourceError("it has a header and no rows")
        _judge(engine, mapping, day, format_found)
        rejects = [*_place(broken, lines), *_rejects(engine, mapping, format_found, lines)]
    duplicates = int(engine.ask("ingest/repeated")[0][0])
    kept = engine.count("judged where fault_in_row is null") - duplicates
    parts = _write_parts(engine, source, folder, part_name)
    return Ingested(kept, duplicates, tuple(sorted(rejects, key=lambda reject: reject.line)), parts)


def _header(path: Path, source: SourceFile, mapping: Mapping) -> list[str]:
    try:
        with _open_text(path, source, mapping, errors="strict") as text:
            header = next(csv.reader(text, delimiter=mapping.file.delimiter), None)
    except UnicodeDecodeError:
        raise SourceError(
            f"its header is not {mapping.file.encoding}; name its encoding (latin-1, for instance) in a mapping, under [file]"
        ) from None
    except (OSError, EOFError, csv.Error) as error:
        raise SourceError(f"it cannot be read ({error})") from None
    if not header:
        raise SourceError("it is empty")
    return [name.strip(BLANKS) for name in header]


def is_removal_log(path: Path, source: SourceFile, mapping: Mapping) -> bool:
    """Whether a file has a column `outcome` that the mapping does not use: then it is no file of snapshots."""
    if source.kind == "parquet" or mapping.needs_outcome:
        return False
    try:
        return "outcome" in _header(path, source, mapping)
    except SourceError:
        return False


def _sources_of(header: Sequence[str], mapping: Mapping, day: date | None) -> dict[str, str]:
    """Our column (or an extra one) -> theirs, for the columns that this file has. Raises SourceError where a needed one is missing."""
    found: dict[str, str] = {}
    for ours in NAMES:
        theirs = mapping.theirs(ours)
        if theirs is not None and theirs in header:
            found[ours] = theirs
    needed = [name for name in REQUIRED if not (name == "date" and day is not None)]
    if mapping.failed is not None:
        needed.append("failed")
    missing = [mapping.theirs(name) or name for name in needed if name not in found]
    if missing:
        raise SourceError(_missing(missing, header, mapping))
    twice = sorted({name for name in found.values() if list(header).count(name) > 1})
    if twice:
        raise SourceError(f"its header names the column {twice[0]!r} twice; a column that is read must stand once")
    found |= {name: name for name in mapping.extra.columns if name in header}
    return found


def _missing(missing: list[str], header: Sequence[str], mapping: Mapping) -> str:
    text = f"it has no column {', '.join(repr(name) for name in missing)}; its columns are {', '.join(header)}"
    others = [mark for mark in DELIMITERS if mark != mapping.file.delimiter and mark in header[0]]
    if len(header) == 1 and others:
        return text + f"; it looks cut by {others[0]!r}: name the delimiter in a mapping, under [file]"
    return text + "; name the one that holds it in a mapping, under [columns]"


def _read_csv(
    engine: Engine, path: Path, encoding: str, header: list[str], mapping: Mapping, day: date | None
) -> tuple[list[Reject], list[int]]:
    """Fill the table `raw` with the text of our columns; give the records that could not be cut, and which records they were."""
    theirs_to_ours = {theirs: ours for ours, theirs in _sources_of(header, mapping, day).items()}
    columns = {theirs_to_ours.get(name, f"unused {place}"): "VARCHAR" for place, name in enumerate(header)}
    connection = engine.connection
    connection.execute("drop table if exists raw")
    try:
        connection.execute(
            engine.text("ingest/read_csv"),
            {"file": str(path), "columns": columns, "delimiter": mapping.file.delimiter, "encoding": encoding, "limit": RECORD_LIMIT},
        )
        found = connection.execute(
            "select line, min(error_message), any_value(csv_line), min(column_name) from reject_errors group by line order by line"
        ).fetchall()
    except duckdb.Error as error:
        raise SourceError(f"it cannot be read ({str(error).splitlines()[0]})") from None
    finally:
        connection.execute("drop table if exists reject_errors")
        connection.execute("drop table if exists reject_scans")
    _add_missing_columns(engine, columns)
    broken = [
        Reject(int(line), None, (text or "").strip("\r\n") or None, f"the line cannot be cut into its columns: {message}")
        for line, message, text, _ in found
    ]
    return broken, [reject.line for reject in broken]


def _read_parquet(engine: Engine, path: Path, mapping: Mapping, day: date | None) -> str:
    """Fill `raw` from Parquet, as text like any other; the format in which dates then stand."""
    connection = engine.connection
    try:
        rows = connection.read_parquet(str(path))
        types = dict(zip(rows.columns, (str(kind) for kind in rows.types), strict=True))
        chosen = _sources_of(list(types), mapping, day)
        connection.execute("drop table if exists raw")
        texts = [f"{_as_text(theirs, types[theirs])} as {_quoted(ours)}" for ours, theirs in chosen.items()]
        connection.execute(
            f"create temp table raw as select {', '.join(texts)} from read_parquet($file)",  # noqa: S608  (identifiers are quoted)
            {"file": str(path)},
        )
    except duckdb.Error as error:
        raise SourceError(f"it cannot be read ({str(error).splitlines()[0]})") from None
    _add_missing_columns(engine, chosen)
    is_day = "date" in chosen and not types[chosen["date"]].startswith("VARCHAR")
    return ISO_DAY if is_day else mapping.date_format()


def _as_text(column: str, kind: str) -> str:
    if kind.startswith("TIMESTAMP"):
        return f"cast(cast({_quoted(column)} as date) as varchar)"
    return f"cast({_quoted(column)} as varchar)"


def _quoted(name: str) -> str:
    return '"' + name.replace('"', '""') + '"'


def _add_missing_columns(engine: Engine, present: Sequence[str] | dict[str, str]) -> None:
    for name in NAMES:
        if name not in present:
            engine.connection.execute(f"alter table raw add column {name} varchar")


def _judge(engine: Engine, mapping: Mapping, day: date | None, date_format: str) -> None:
    engine.make(
        "judged",
        "ingest/judged",
        blanks=BLANKS,
        day=day,
        date_format=date_format,
        failed_values=mapping.failed.values if mapping.failed is not None else None,
        scales=mapping.scales(),
        today=datetime.now(UTC).date(),
    )


def _rejects(engine: Engine, mapping: Mapping, date_format: str, lines: _Lines | None) -> list[Reject]:
    rows = engine.connection.execute(
        "select j.ordinal_in_file, j.fault_in_row, j.date, r from judged j join raw r on r.rowid = j.ordinal_in_file "
        "where j.fault_in_row is not null order by j.ordinal_in_file"
    ).fetchall()
    if not rows:
        return []
    numbers = lines.of_kept([ordinal for ordinal, *_ in rows]) if lines is not None else [ordinal + 1 for ordinal, *_ in rows]
    return [
        Reject(line, mapping.theirs(fault) or fault, cells[fault], _reason(fault, cells[fault], day, date_format))
        for line, (_, fault, day, cells) in zip(numbers, rows, strict=True)
    ]


def _reason(fault: str, cell: str | None, day: date | None, date_format: str) -> str:
    blank = cell is None or not cell.strip(BLANKS)
    if fault == "date" and day is not None:
        return f"the day {day} lies ahead of tomorrow (UTC)"
    if fault == "date":
        return "no date" if blank else f"no date written as {date_format}"
    if fault in REQUIRED:
        return f"no {fault}" if blank else f"a control character in the {fault}"
    if fault == "failed":
        return "no word known for failed or not failed; name the words that mean failed in a mapping, under [failed]"
    return "no finite number"


def _place(broken: list[Reject], lines: _Lines | None) -> list[Reject]:
    if not broken or lines is None:
        return broken
    return [
        Reject(line, reject.column, reject.value, reject.reason)
        for line, reject in zip(lines.of_records([reject.line for reject in broken]), broken, strict=True)
    ]


def _write_parts(engine: Engine, source: SourceFile, folder: Path, part_name: str) -> dict[str, Path]:
    connection = engine.connection
    months = connection.execute(
        "select distinct cast(date_trunc('month', date) as date) from judged where fault_in_row is null order by 1"
    ).fetchall()
    parts = {}
    for (month,) in months:
        name = f"{month:%Y-%m}"
        path = folder / f"month={name}" / part_name
        path.parent.mkdir(parents=True, exist_ok=True)
        rows = connection.sql(engine.text("ingest/part"), params={"month": month, "source": source.name})
        rows.write_parquet(str(path), compression="zstd")
        parts[name] = path
    return parts


@contextmanager
def _open_text(path: Path, source: SourceFile, mapping: Mapping, errors: str) -> Iterator[TextIO]:
    encoding = "utf-8-sig" if codecs.lookup(mapping.file.encoding).name == "utf-8" else mapping.file.encoding
    if source.kind == "csv.gz":
        with gzip.open(path, "rt", encoding=encoding, errors=errors, newline="") as text:
            yield text  # type: ignore[misc]  # opened as text
    else:
        with path.open(encoding=encoding, errors=errors, newline="") as text:
            yield text


@contextmanager
def _as_engine_reads(path: Path, source: SourceFile, mapping: Mapping, folder: Path) -> Iterator[tuple[Path, str]]:
    """The file as the engine can read it: one in an encoding that it does not know is written anew beside the store."""
    known = READ_BY_ENGINE.get(codecs.lookup(mapping.file.encoding).name)
    if known is not None:
        yield path, known
        return
    decoded = folder / "decoded.csv"
    try:
        with _open_text(path, source, mapping, errors="replace") as text, decoded.open("w", encoding="utf-8", newline="") as target:
            shutil.copyfileobj(text, target)
        yield decoded, "utf-8"
    finally:
        decoded.unlink(missing_ok=True)


class _Lines:
    """On which line of the file a record begins. Asked only when there is something to point at, for it reads the file again."""

    def __init__(self, path: Path, source: SourceFile, mapping: Mapping, broken: list[int]) -> None:
        self._file = (path, source, mapping)
        self._broken = set(broken)
        self._known: tuple[list[int], list[int]] | None = None

    def of_records(self, records: list[int]) -> list[int]:
        """Records are counted from 1, the header and blank lines included."""
        every, _ = self._read()
        return [every[record - 1] if record <= len(every) else record for record in records]

    def of_kept(self, ordinals: list[int]) -> list[int]:
        """Ordinals are counted from 0, over the records that could be cut."""
        _, kept = self._read()
        return [kept[ordinal] if ordinal < len(kept) else ordinal + 2 for ordinal in ordinals]

    def _read(self) -> tuple[list[int], list[int]]:
        if self._known is None:
            every: list[int] = []
            kept: list[int] = []
            path, source, mapping = self._file
            with _open_text(path, source, mapping, errors="replace") as text:
                reader = csv.reader(text, delimiter=mapping.file.delimiter)
                begins = 1
                for record, cells in enumerate(reader, start=1):
                    every.append(begins)
                    if record > 1 and cells and record not in self._broken:
                        kept.append(begins)
                    begins = reader.line_num + 1
            self._known = every, kept
        return self._known
