"""Files of stays of one month become one file with one row a stay, a column at a time."""

from __future__ import annotations

from threading import Lock
from typing import TYPE_CHECKING

import pyarrow as pa
import pyarrow.parquet as pq

from reliability.loaders.arrow_arrays import as_arrow, codes_of, nothing, whole
from reliability.loaders.merged_stays import KEYS, TEXTS, merged
from reliability.loaders.stay_columns import AS_STAYS, SCHEMA
from reliability.loaders.with_values import with_values

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence
    from pathlib import Path

    import numpy as np
    from numpy.typing import NDArray

FEW = 1 << 17  # stays: all columns are read at once, for each call has its price
STAYS_A_ROW = 2  # are merged in the memory that a snapshot takes until it is written
ONE_AT_A_TIME = Lock()  # whoever merges: it takes as much memory as all else together


def merge(files: Sequence[Path], file: Path, rows_at_once: int) -> Path:
    """The file that holds the stays of several, one row a stay: a single one as it is, or `file`, made now.

    files          at least one, each with one row a stay; of one stay several files may have one
    rows_at_once   of snapshots that memory has room for; more stays than fit there are merged in slices of drives,
                   and each slice takes another look through the files
    """
    if len(files) == 1:
        return files[0]
    file.parent.mkdir(parents=True, exist_ok=True)
    with ONE_AT_A_TIME, pq.ParquetWriter(file, SCHEMA, **AS_STAYS) as writer:
        stays = Stays(StayFiles(files))
        turns = -(-len(stays) // (STAYS_A_ROW * rows_at_once))
        for some in stays.slices(turns) if turns > 1 else [stays]:
            writer.write_table(merged(some))
    return file


class StayFiles:
    """The columns of files of stays, one file after the other; a file is open only while it is read."""

    def __init__(self, files: Sequence[Path]) -> None:
        """Look at what the files tell of themselves."""
        told = [pq.read_metadata(file) for file in files]
        self._files = files
        self._with_values = sorted({name for each in told for name in with_values(each, SCHEMA.names)})
        self.rows: int = sum(each.num_rows for each in told)
        self._whole = [self._tables(self._with_values)] if self.rows <= FEW else []

    def column(self, name: str) -> pa.Array:
        """A column; texts in a dictionary."""
        kind = SCHEMA.field(name).type
        if name not in self._with_values:
            column = nothing(kind, self.rows)
        else:
            tables = self._whole[0] if self._whole else self._tables([name])
            # Each by itself: a cluster's engine may have written texts as a type for larger ones.
            chunks = [chunk.cast(kind) for table in tables for chunk in table[name].chunks]
            column = whole(pa.chunked_array(chunks, kind))
        return column.dictionary_encode() if name in TEXTS else column

    def _tables(self, names: Sequence[str]) -> list[pa.Table]:
        tables = []
        for path in self._files:
            with pq.ParquetFile(path) as file:
                tables.append(file.read(names))
        return tables


class Stays:
    """Stays by the names of their columns, which are read when they are asked for; those of the keys are kept."""

    def __init__(
        self,
        files: StayFiles,
        keys: Mapping[str, pa.Array] | None = None,
        chosen: NDArray[np.bool_] | None = None,
    ) -> None:
        """All stays of some files; or those that are chosen, the keys of all at hand already."""
        self._files = files
        self._keys = keys or {name: files.column(name) for name in KEYS}
        self._chosen = None if chosen is None else as_arrow(chosen)

    def __len__(self) -> int:
        """How many."""
        return self._files.rows if self._chosen is None else int(self._chosen.true_count)

    def __getitem__(self, name: str) -> pa.Array:
        """A column; texts in a dictionary."""
        column = self._keys[name] if name in self._keys else self._files.column(name)
        return column if self._chosen is None else column.filter(self._chosen)

    def slices(self, number: int) -> Iterator[Stays]:
        """The same stays in so many turns, or fewer, all those of a serial number in one."""
        serials = self._keys["serial"]
        each = -(-len(serials.dictionary) // number)
        turns = codes_of(serials) // each
        for turn in range(turns.max() + 1):
            yield Stays(self._files, self._keys, turns == turn)
