"""Look at a file of another source and propose a mapping for it.

What cannot be placed is said, never guessed.
"""

from __future__ import annotations

import csv
import gzip
import io
import json
import re
import zipfile
from contextlib import suppress
from dataclasses import dataclass
from datetime import datetime
from itertools import islice
from typing import TYPE_CHECKING

from reliability.errors import SourceError
from reliability.loaders.columns import NAMES, REQUIRED
from reliability.loaders.mapping import DELIMITERS, ISO_DAY

if TYPE_CHECKING:
    from collections.abc import Sequence

    from reliability.loaders.sources import SourceFile

SAMPLE_ROWS = 2_000
DATE_FORMATS = (ISO_DAY, "%d.%m.%Y", "%d/%m/%Y", "%m/%d/%Y", "%Y/%m/%d", "%Y%m%d", "%d-%m-%Y")
FLAG_WORDS = {"true", "false", "t", "f", "yes", "no", "y", "n", "1", "0", ""}
DEAD_WORDS = {"failed", "fail", "failure", "dead", "broken", "defect", "defective", "lost", "faulty"}

# How people call these columns, all letters and digits of it: words of the trade and abbreviations of them.
WORDS = {
    "date": ("date", "day", "reading day", "snapshot date", "reported on", "timestamp", "time"),
    "serial": ("serial", "serial number", "serial no", "sn", "drive serial", "disk serial", "disk", "drive"),
    "model": ("model", "model name", "model number", "product", "type", "kind", "drive model"),
    "failed": (
        "failed",
        "failure",
        "is failed",
        "has failed",
        "dead",
        "broken",
        "state",
        "status",
        "condition",
        "health",
    ),
    "capacity_tb": (
        "capacity tb",
        "capacity",
        "size tb",
        "size gb",
        "capacity gb",
        "capacity bytes",
        "size bytes",
    ),
    "power_on_hours": (
        "power on hours",
        "poh",
        "hours",
        "hours on",
        "hours run",
        "power on time",
        "poh minutes",
        "power on minutes",
    ),
    "temperature_c": ("temperature c", "temperature", "temp", "temp c", "celsius", "temperature celsius"),
    "bytes_written": ("bytes written", "written bytes", "host writes", "written"),
    "bytes_read": ("bytes read", "read bytes", "host reads"),
    "reallocated_sectors": (
        "reallocated sectors",
        "reallocated",
        "remapped",
        "reallocated sector count",
        "grown defects",
    ),
    "pending_sectors": ("pending sectors", "pending", "current pending sectors"),
    "offline_uncorrectable": ("offline uncorrectable", "uncorrectable sectors"),
    "reported_uncorrectable": ("reported uncorrectable", "reported uncorrectable errors"),
    "command_timeouts": ("command timeouts", "command timeout", "timeouts"),
    "interface_crc_errors": ("interface crc errors", "crc errors", "link crc errors"),
    "media_errors": ("media errors", "media and data integrity errors"),
    "percentage_used": ("percentage used", "percent used", "wear"),
    "available_spare": ("available spare", "spare"),
    "site": ("site", "location", "house", "building", "room", "datacenter", "data center"),
    "rack": ("rack", "shelf", "enclosure", "cabinet"),
    "batch": ("batch", "lot", "delivery"),
}
SCALES = (
    ("minutes", 1 / 60),
    ("gb", 1e-3),
    ("bytes", 1e-12),
)  # a unit in the column's name, and its factor to ours


@dataclass(frozen=True, slots=True)
class Proposal:
    """A mapping for a source, and what is left for a person to decide."""

    columns: dict[str, str]  # ours -> theirs
    missing: tuple[str, ...]  # required columns that none of theirs seems to be
    unplaced: tuple[str, ...]  # theirs that none of ours seems to be
    notes: tuple[str, ...]
    toml: str


def propose(source: SourceFile) -> Proposal:
    """Read the first rows of a file and propose a mapping.

    Raises SourceError if it cannot be read or is empty.
    """
    header, rows, delimiter, encoding = _sample(source)
    placed = _place(header)
    notes: list[str] = []
    lines = _file_lines(delimiter, encoding)
    columns = [
        _column_line(ours, placed[ours], _values(header, rows, placed[ours]), notes)
        for ours in NAMES
        if ours in placed and ours != "failed"
    ]
    lines += ["[columns] # ours = theirs", *[line for line in columns if line], ""]
    if "failed" in placed:
        lines += _failed_lines(placed["failed"], _values(header, rows, placed["failed"]), notes)
    missing = tuple(name for name in REQUIRED if name not in placed)
    unplaced = tuple(name for name in header if name not in placed.values())
    if "failed" not in placed:
        notes.append(
            "no column seems to say that a drive failed: name it under [failed], or give a removal log with --removals"
        )
    return Proposal(placed, missing, unplaced, tuple(notes), "\n".join(lines).rstrip() + "\n")


def _sample(source: SourceFile) -> tuple[list[str], list[list[str]], str, str]:
    if source.kind == "parquet":
        import pyarrow.parquet as pq  # noqa: PLC0415  (only for such a source)

        try:
            batch = next(pq.ParquetFile(source.path).iter_batches(SAMPLE_ROWS), None)
            names = pq.read_schema(source.path).names
        except (OSError, ValueError) as error:
            raise SourceError(f"{source.name} cannot be read ({error}). Name another file.") from None
        rows = (
            []
            if batch is None
            else [["" if cell is None else str(cell) for cell in row.values()] for row in batch.to_pylist()]
        )
        return list(names), rows, ",", "utf-8"
    content = _first_bytes(source)
    try:
        text, encoding = (
            content.decode("utf-8-sig", errors="strict" if len(content) < _MUCH else "ignore"),
            "utf-8",
        )
    except UnicodeDecodeError:
        text, encoding = content.decode("latin-1"), "latin-1"
    first = text.splitlines()[0] if text.strip() else ""
    if not first:
        raise SourceError(
            f"{source.name} is empty: there is nothing to look at. Name a file with a header and rows."
        )
    delimiter = max(DELIMITERS, key=first.count)
    records = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter)
    header = [name.strip() for name in next(records)]
    rows = [row for row in islice(records, SAMPLE_ROWS) if len(row) == len(header)]
    return header, rows, delimiter, encoding


_MUCH = 1 << 20


def _first_bytes(source: SourceFile) -> bytes:
    try:
        if source.member is not None:
            with zipfile.ZipFile(source.path) as archive, archive.open(source.member) as file:
                packed = file.read(_MUCH)
                if source.kind == "csv.gz":
                    with gzip.GzipFile(fileobj=io.BytesIO(packed)) as inner:
                        return inner.read(_MUCH)
                return packed
        if source.kind == "csv.gz":
            with gzip.open(source.path) as file:
                return file.read(_MUCH)
        with source.path.open("rb") as file:
            return file.read(_MUCH)
    except (OSError, EOFError, zipfile.BadZipFile) as error:
        raise SourceError(f"{source.name} cannot be read ({error}). Name another file.") from None


def _bare(name: str) -> str:
    """Letters and digits only: `Power-On Hours`, `powerOnHours` and `power_on_hours` are one."""
    return "".join(filter(str.isalnum, name.casefold()))


def _place(header: Sequence[str]) -> dict[str, str]:
    """Ours -> theirs; the first word of ours that one of theirs is."""
    bare = {_bare(name): name for name in reversed(header)}
    placed: dict[str, str] = {}
    for ours, words in WORDS.items():
        for word in (ours, *words):
            theirs = bare.get(_bare(word))
            if theirs is not None and theirs not in placed.values():
                placed[ours] = theirs
                break
    return placed


def _values(header: Sequence[str], rows: Sequence[Sequence[str]], name: str) -> list[str]:
    place = header.index(name)
    return [cell for row in rows if (cell := row[place].strip())]


def _file_lines(delimiter: str, encoding: str) -> list[str]:
    lines = [f"delimiter = {json.dumps(delimiter)}"] if delimiter != "," else []
    lines += [f"encoding = {json.dumps(encoding)}"] if encoding != "utf-8" else []
    return ["[file]", *lines, ""] if lines else []


def _column_line(ours: str, theirs: str, values: Sequence[str], notes: list[str]) -> str | None:
    if ours == "date":
        return _date_line(theirs, values, notes)
    scale = next(
        (factor for unit, factor in SCALES if re.search(rf"(^|[^a-z]){unit}($|[^a-z])", theirs.casefold())),
        None,
    )
    if scale is not None and ours in ("power_on_hours", "capacity_tb"):
        notes.append(f"{theirs} is taken to need a factor of {scale:.6g} for {ours}: check its unit")
        return f"{ours} = {{ column = {json.dumps(theirs)}, scale = {scale!r} }}"
    return None if ours == theirs else f"{ours} = {json.dumps(theirs)}"


def _date_line(theirs: str, values: Sequence[str], notes: list[str]) -> str | None:
    fitting = [
        known for known in DATE_FORMATS if values and all(_is_day(value[:10], known) for value in values)
    ]
    if not fitting:
        notes.append(
            f"the days in {theirs} are written in no way known here (such as {values[0]!r}): give their format"
            if values
            else f"{theirs} has no value to look at"
        )
        return f"date = {json.dumps(theirs)}" if theirs != "date" else None
    if len(fitting) > 1:
        notes.append(f"the days in {theirs} can be read as {' or '.join(fitting)}: check which")
    if fitting[0] == ISO_DAY:
        return f"date = {json.dumps(theirs)}" if theirs != "date" else None
    return f"date = {{ column = {json.dumps(theirs)}, format = {json.dumps(fitting[0])} }}"


def _is_day(text: str, known: str) -> bool:
    with suppress(ValueError):
        datetime.strptime(text, known)  # noqa: DTZ007  (a calendar day has no zone)
        return True
    return False


def _failed_lines(theirs: str, values: Sequence[str], notes: list[str]) -> list[str]:
    words = sorted(set(values))
    if all(word.casefold() in FLAG_WORDS for word in words):
        return (
            []
            if theirs == "failed"
            else ["[failed] # how this source says that a drive failed", f"column = {json.dumps(theirs)}", ""]
        )
    dead = [word for word in words if word.casefold() in DEAD_WORDS]
    shown = ", ".join(words[:8]) + (", ..." if len(words) > 8 else "")  # noqa: PLR2004  (enough to see what they are)
    notes.append(
        f"{theirs} says {shown}: "
        + (
            "check which of them mean failed"
            if dead
            else "name those that mean failed, under [failed], as values"
        )
    )
    return [
        "[failed] # how this source says that a drive failed",
        f"column = {json.dumps(theirs)}",
        f"values = {json.dumps(dead)}",
        "",
    ]
