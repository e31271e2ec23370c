"""Writes the files, the same bytes each time."""

from __future__ import annotations

import csv
import gzip
import io
import zipfile
from typing import TYPE_CHECKING

import pyarrow as pa
import pyarrow.parquet as pq

from demo_fleet.layout import LANTERN_COLUMNS

if TYPE_CHECKING:
    from collections.abc import Iterable
    from pathlib import Path

    from demo_fleet.layout import Piece

TYPES = {
    "date": pa.date32(),
    "serial": pa.string(),
    "model": pa.string(),
    "batch": pa.string(),
    "site": pa.string(),
    "rack": pa.string(),
    "failed": pa.bool_(),
    "capacity_tb": pa.float64(),
    "bytes_written": pa.int64(),
    "bytes_read": pa.int64(),
}
RISING = ("power_on_hours", "bytes_written", "bytes_read")  # stored as differences: nearly nothing is left
ZIP_TIME = (2026, 10, 1, 0, 0, 0)
Row = dict[str, object]


def parquet_table(piece: Piece, columns: dict[str, list[object]]) -> pa.Table:
    """Return a piece as a typed table."""
    arrays = {name: pa.array(columns[name], TYPES.get(name, pa.int32())) for name in piece.columns}
    return pa.table(arrays)


def write_parquet(path: Path, table: pa.Table) -> None:
    """Write a table as Parquet."""
    rising = {name: "DELTA_BINARY_PACKED" for name in RISING if name in table.column_names}
    plain = [name for name in table.column_names if name not in rising]
    pq.write_table(
        table,
        path,
        compression="zstd",
        compression_level=19,
        use_dictionary=plain,
        column_encoding=rising,
        store_schema=False,
    )


def csv_text(piece: Piece, rows: Iterable[Row], bad_lines: list[str]) -> str:
    """Return a piece as the text of a CSV; bad lines stand before the end, the one that broke off is last."""
    header = [LANTERN_COLUMNS[name] if piece.of_lantern else name for name in piece.columns]
    out = io.StringIO()
    writer = csv.writer(out, delimiter=";" if piece.of_lantern else ",", lineterminator="\n")
    writer.writerow(header)
    words = _failed_words(piece)
    for row in rows:
        writer.writerow([_cell(piece, name, row[name], words) for name in piece.columns])
    return out.getvalue() + "".join(f"{line}\n" for line in bad_lines[:-1]) + "".join(bad_lines[-1:])


def _failed_words(piece: Piece) -> tuple[str, str]:
    if piece.of_lantern:
        return ("sound", "lost") if "2024" in piece.path else ("sound", "gave up")
    return ("0", "1") if piece.path.endswith("-03.csv.gz") else ("no", "yes")


def _cell(piece: Piece, name: str, value: object, words: tuple[str, str]) -> object:
    if value is None:
        return ""
    if name == "failed":
        return words[bool(value)]
    if piece.of_lantern and name == "capacity_tb":
        return int(str(value)) * 1000
    if piece.of_lantern and name == "date":
        return f"{value:%d.%m.%Y}"
    return value


def write_gzip(path: Path, text: str) -> None:
    """Write a text as gzip, without a time in it."""
    path.write_bytes(gzip.compress(text.encode(), compresslevel=9, mtime=0))


def write_zip(path: Path, members: dict[str, str]) -> None:
    """Write texts as the members of a zip archive, all of one time, in the western one-byte encoding."""
    with zipfile.ZipFile(path, "w") as archive:
        for name, text in members.items():
            info = zipfile.ZipInfo(name, ZIP_TIME)
            info.compress_type = zipfile.ZIP_DEFLATED
            archive.writestr(info, text.encode("latin-1"), compresslevel=9)
