"""The rows of one file go into the store: a Parquet part for each month, its rows in the order of the drives.

The stays of each month are made on the way, while its rows are at hand. A file with few rows a drive, as that of one
day, would have nearly as many stays: its rows are kept at hand, to be summed up with those of other files.
"""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING, Any, Self

import numpy as np
import pyarrow as pa
import pyarrow.parquet as pq

from reliability.loaders.arrow_arrays import as_arrow, as_text, nothing, whole
from reliability.loaders.columns import NAMES, NUMBERS
from reliability.loaders.month_stays import stays_of
from reliability.loaders.narrow import joined, narrowed
from reliability.loaders.order import in_order, months_of, pieces_of, repeated
from reliability.loaders.pile import Pile

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path
    from types import TracebackType

TEXT = pa.dictionary(pa.int32(), pa.string())  # each text once, and its number in the rows
TYPES = {"date": pa.date32(), "failed": pa.bool_(), **dict.fromkeys(NUMBERS, pa.float64())}
RISING = [
    "power_on_hours",
    "bytes_written",
    "bytes_read",
]  # hardly a value twice: cut by bytes, it packs best
ALWAYS_THERE = {"date", "serial", "model", "failed", "source_file"}  # nothing has to say that they are
ROWS_A_DRIVE = 4  # with fewer, stays of several files are more to merge than their rows are to sum up
ROWS_A_GROUP = 1 << 18  # written together: more are hardly faster, and take more memory
LONG_PAGES = {"max_rows_per_page": 1 << 20, "write_batch_size": 1 << 15}  # a quarter faster than usual
AS_PART: dict[str, Any] = {
    "compression": "zstd",
    "store_schema": False,
    "use_byte_stream_split": RISING,
    **LONG_PAGES,
}


class Parts:
    """The parts of one file, as its rows come in."""

    def __init__(  # noqa: PLR0913, PLR0917  (each is another part of where and what)
        self,
        folder: Path,
        name: str,
        aside: Path,
        source_name: str,
        columns: Sequence[str],
        rows_at_once: int,
    ) -> None:
        """Begin with no row.

        folder, name   a part is folder/month=YYYY-MM/name
        aside          folder for the stays, until the load ends
        columns        ours that the file has, and extra ones
        rows_at_once   how many rows are put in order together
        """
        self.parts: dict[str, Path] = {}  # month -> file
        self.at_hand: dict[str, pa.Table] = {}  # month -> its rows, where its stays are not made
        self.repeated = 0  # rows at hand that are second or later ones of a drive and day
        self.rows = 0
        self._rows_at_once = rows_at_once
        self._folder, self._name, self._aside, self._source_name = folder, name, aside, source_name
        self._schema = pa.schema({name: TYPES.get(name, TEXT) for name in columns})
        coded = {*NAMES, *columns, "source_file"} - set(RISING)
        # Rows of awkward drives are looked for by their serial numbers, and what has no value is not read again.
        told = ["serial", *sorted({*NAMES} - {*columns})]
        self._as_part = AS_PART | {"use_dictionary": sorted(coded), "write_statistics": told}
        self._waiting: list[pa.Table] = []
        self._writers: dict[Path, pq.ParquetWriter] = {}
        self._piles: dict[str, Pile] = {}

    @property
    def stays(self) -> dict[str, list[Path]]:
        """Each month with files of its stays, unless its rows are at hand; of one stay several rows, in a long file."""
        return {month: pile.files for month, pile in self._piles.items()}

    def __enter__(self) -> Self:
        """Begin to write."""
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        """Write what waits; of a file that cannot be used nothing is left."""
        try:
            if kind is None and self._waiting:
                self._write_waiting(is_whole=not self.parts)
        finally:
            for path, writer in self._writers.items():
                writer.close()
                if kind is not None:
                    path.unlink()
            if kind is not None:
                for pile in self._piles.values():
                    pile.discard()

    def add(self, rows: pa.Table) -> None:
        """Take some rows."""
        self.rows += rows.num_rows
        columns = [
            narrowed(rows[name]) if name in NUMBERS else rows[name].cast(self._schema.field(name).type)
            for name in self._schema.names
        ]
        self._waiting.append(pa.Table.from_arrays(columns, self._schema.names))
        if sum(table.num_rows for table in self._waiting) >= self._rows_at_once:
            self._write_waiting()

    def _write_waiting(self, *, is_whole: bool = False) -> None:
        """Write rows, and their stays or, if they are the whole file and few a drive, keep them at hand."""
        ordered = in_order(self._take_waiting())
        is_few = is_whole and ordered.num_rows < ROWS_A_DRIVE * len(whole(ordered["serial"]).dictionary)
        if is_few:
            self.repeated = repeated(ordered)
        for month, rows in months_of(ordered):
            self.parts[month] = self._folder / f"month={month}" / self._name
            pieces = list(pieces_of(rows, ROWS_A_GROUP))
            for piece in pieces:
                self._write(self.parts[month], self._as_kept(piece))
            if is_few:
                self.at_hand[month] = rows.select([name for name in rows.column_names if name in NAMES])
            else:
                self._pile(month).add(pa.concat_tables(map(stays_of, pieces)))

    def _take_waiting(self) -> pa.Table:
        rows = joined(self._waiting)
        self._waiting = []
        return rows

    def _as_kept(self, rows: pa.Table) -> pa.Table:
        """The rows with all our columns, those that the file does not have empty, and the name of the file."""
        columns = {}
        for name in (*NAMES, *self._schema.names):
            if name in self._schema.names:
                columns[name] = rows[name].cast(self._schema.field(name).type)
            elif name == "failed":
                columns[name] = as_arrow(np.zeros(rows.num_rows, np.bool_))
            else:
                columns[name] = nothing(TYPES.get(name, TEXT), rows.num_rows)
        name = as_text(self._source_name)
        columns["source_file"] = pa.DictionaryArray.from_arrays(_zeros(rows.num_rows), name)
        kept = pa.Table.from_pydict(columns)
        fields = [field.with_nullable(field.name not in ALWAYS_THERE) for field in kept.schema]
        return pa.Table.from_arrays(kept.columns, schema=pa.schema(fields))

    def _write(self, path: Path, rows: pa.Table) -> None:
        if path not in self._writers:
            path.parent.mkdir(parents=True, exist_ok=True)
            self._writers[path] = pq.ParquetWriter(path, rows.schema, **self._as_part)
        self._writers[path].write_table(rows)

    def _pile(self, month: str) -> Pile:
        name = f"{month}-{self._name.removesuffix('.parquet')}"
        return self._piles.setdefault(month, Pile(self._aside, name, self._rows_at_once))


def _zeros(rows: int) -> pa.Array:
    return _many_zeros(1 << rows.bit_length())[:rows]


@cache
def _many_zeros(rows: int) -> pa.Array:
    return as_arrow(np.zeros(rows, np.int32))
