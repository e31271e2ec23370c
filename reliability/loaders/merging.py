"""Files of stays of one month become one file with one row a stay, a column at a time."""

from __future__ import annotations

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


def merge(files: Sequence[Path], file: Path, rows_at_once: int) -> Path:
    """The file that holds the stays of several, one row a stay: a single one as it is, or `file`, made now.

    files          at least one; of one stay several rows
    rows_at_once   of snapshots that memory has room for; more stays than fit there are merged in slices of drives,
                   and each slice takes another look through the files
    """
    found = [pq.ParquetFile(each) for each in files]
    if len(files) == found[0].num_row_groups == 1:
        return files[0]
    file.parent.mkdir(parents=True, exist_ok=True)
    stays = Stays(found)
    turns = -(-sum(each.metadata.num_rows for each in found) // (STAYS_A_ROW * rows_at_once))
    with pq.ParquetWriter(file, SCHEMA, **AS_STAYS) as writer:
        for some in stays.slices(turns) if turns > 1 else [stays]:
            writer.write_table(merged(some))
    return file


class Stays:
    """Stays in files, one file after the other, of which a column is read when it is asked for."""

    def __init__(
        self,
        files: Sequence[pq.ParquetFile],
        keys: Mapping[str, pa.Array] | None = None,
        chosen: NDArray[np.bool_] | None = None,
    ) -> None:
        """All stays of some files; or those that are chosen, the columns of the keys at hand already."""
        self._files = files
        self._with_values = {name for file in files for name in with_values(file.metadata, SCHEMA.names)}
        self._rows = sum(file.metadata.num_rows for file in files)
        self._whole = [file.read(sorted(self._with_values)) for file in files] if self._rows <= FEW else []
        self._keys = keys or {name: self._read(name) for name in KEYS}
        self._chosen = None if chosen is None else as_arrow(chosen)

    def __getitem__(self, name: str) -> pa.Array:
        """A column; texts in a dictionary."""
        column = self._keys[name] if name in self._keys else self._read(name)
        return column if self._chosen is None else column.filter(self._chosen)

    def slices(self, number: int) -> Iterator[Stays]:
        """The same stays in so many turns, or fewer, all those of a serial number in one."""
        serials = self._keys["serial"]
        each = -(-len(serials.dictionary) // number)
        turns = codes_of(serials) // each
        for turn in range(turns.max() + 1):
            yield Stays(self._files, self._keys, turns == turn)

    def _read(self, name: str) -> pa.Array:
        kind = SCHEMA.field(name).type
        if name in self._with_values:
            tables = self._whole or [file.read([name]) for file in self._files]
            chunks = [chunk for table in tables for chunk in table[name].chunks]
            column = whole(pa.chunked_array(chunks).cast(kind))
        else:
            column = nothing(kind, self._rows)
        return column.dictionary_encode() if name in TEXTS else column
