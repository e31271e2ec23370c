"""The first rows of a source, as text, and how they are written: for whoever proposes a mapping."""

from __future__ import annotations

import codecs
import csv
import gzip
import io
import zipfile
from datetime import datetime
from itertools import islice
from typing import TYPE_CHECKING, NamedTuple

from reliability.errors import SourceError
from reliability.loaders.mapping import DELIMITERS
from reliability.loaders.sources import BROKEN

if TYPE_CHECKING:
    from collections.abc import Sequence

    from reliability.loaders.sources import SourceFile

SAMPLE_ROWS = 2_000
MUCH = 1 << 20  # bytes


class Sample(NamedTuple):
    """What a source begins with."""

    header: Sequence[str]
    rows: Sequence[Sequence[str]]  # whole ones only
    delimiter: str = ","
    encoding: str = "utf-8"


def take_sample(source: SourceFile) -> Sample:
    """Read the first rows of a file. Raises SourceError if it cannot be read or names no column."""
    try:
        if source.kind == "parquet":
            return _of_parquet(source)
        content = _first_bytes(source)
    except (*BROKEN, ValueError) as error:
        raise SourceError(f"{source.name} cannot be read ({error}). Name another file.") from None
    text, encoding = _decoded(content)
    first = text.splitlines()[0] if text else ""
    if not first.strip():
        raise SourceError(
            f"The first line of {source.name} is empty: it has to name the columns. "
            "Name a file with a header and rows."
        )
    delimiter = max(DELIMITERS, key=first.count)
    records = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter)
    try:
        header = [name.strip() for name in next(records)]
        rows = [row for row in islice(records, SAMPLE_ROWS) if len(row) == len(header)]
    except csv.Error as error:
        raise SourceError(f"{source.name} cannot be read ({error}). Name another file.") from None
    return Sample(header, rows, delimiter, encoding)


def _of_parquet(source: SourceFile) -> Sample:
    import pyarrow.parquet as pq  # noqa: PLC0415  (only for such a source)

    content: object = source.path
    if source.member is not None:
        with zipfile.ZipFile(source.path) as archive:
            content = io.BytesIO(archive.read(source.member))
    file = pq.ParquetFile(content)
    batch = next(file.iter_batches(SAMPLE_ROWS), None)
    rows = [] if batch is None else [[_text(cell) for cell in row.values()] for row in batch.to_pylist()]
    return Sample(file.schema_arrow.names, rows)


def _text(cell: object) -> str:
    """A cell as the loader reads it: moments are days there."""
    return "" if cell is None else str(cell.date() if isinstance(cell, datetime) else cell)


def _first_bytes(source: SourceFile) -> bytes:
    if source.member is not None:
        with zipfile.ZipFile(source.path) as archive, archive.open(source.member) as member:
            if source.kind == "csv":
                return member.read(MUCH)
            with gzip.GzipFile(fileobj=member) as inner:
                return inner.read(MUCH)
    if source.kind == "csv.gz":
        with gzip.open(source.path) as file:
            return file.read(MUCH)
    with source.path.open("rb") as file:
        return file.read(MUCH)


def _decoded(content: bytes) -> tuple[str, str]:
    """The text, and the encoding that fits: utf-16 by its mark, utf-8 if all of it is, else one byte a sign."""
    if content.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        candidates = ["utf-16"]
    else:
        # Windows writes signs where Latin-1 has control characters, which nobody writes.
        one_byte = "cp1252" if any(0x80 <= byte < 0xA0 for byte in content) else "latin-1"  # noqa: PLR2004  (C1)
        candidates = ["utf-8", one_byte]
    for encoding in (*candidates, "latin-1"):
        known = codecs.getincrementaldecoder("utf-8-sig" if encoding == "utf-8" else encoding)()
        try:
            return known.decode(content, final=len(content) < MUCH), encoding
        except UnicodeDecodeError:
            continue
    raise AssertionError  # every byte is a sign of latin-1
