"""Files of stays of one month become one file with one row a stay, as many drives at a time as memory has room for."""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING

import pyarrow as pa
import pyarrow.compute as pc
import pyarrow.parquet as pq

from reliability.loaders.merged_stays import TEXTS, merged
from reliability.loaders.parts import AS_STAYS
from reliability.loaders.stay_columns import SCHEMA

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence
    from pathlib import Path

BATCH = 1 << 15  # rows looked through together for those of a slice
AS_ROWS = 4  # of snapshots that are put in order take as much memory as one stay that is merged


def merge(files: Sequence[Path], file: Path, rows_at_once: int) -> Path:
    """The file that holds the stays of several, one row a stay: a single one as it is, or `file`, made now.

    files          at least one; of one stay several rows
    rows_at_once   of snapshots that memory has room for; with more stays than that allows, drives are merged in
                   slices, and each slice takes another look through the files
    """
    found = [pq.read_metadata(each) for each in files]
    if len(files) == found[0].num_row_groups == 1:
        return files[0]
    file.parent.mkdir(parents=True, exist_ok=True)
    slices = -(-AS_ROWS * sum(each.num_rows for each in found) // rows_at_once)
    with pq.ParquetWriter(file, SCHEMA, **AS_STAYS) as writer:
        for rows in [_all_rows(files)] if slices == 1 else _in_slices(files, slices):
            writer.write_table(merged(_in_dictionaries(rows)))
    return file


def _all_rows(files: Sequence[Path]) -> pa.Table:
    return pa.concat_tables(pq.ParquetFile(file).read(SCHEMA.names).cast(SCHEMA) for file in files)


def _in_slices(files: Sequence[Path], slices: int) -> Iterator[pa.Table]:
    """All rows of some drives after those of others, cut where serial numbers are as many before as behind."""
    serials = pa.concat_tables(pq.ParquetFile(file).read(["serial"]) for file in files)["serial"]
    in_order = serials.take(pc.sort_indices(serials))
    cuts = [in_order[number * len(serials) // slices].as_py() for number in range(1, slices)]
    for first, beyond in pairwise([None, *dict.fromkeys(cuts), None]):
        yield pa.concat_tables(_between(file, first, beyond) for file in files)


def _between(file: Path, first: str | None, beyond: str | None) -> pa.Table:
    """The rows of a file whose serial number is one of a slice; None: the slice has no end there."""
    found = [SCHEMA.empty_table()]
    for batch in pq.ParquetFile(file).iter_batches(BATCH, columns=SCHEMA.names):
        rows = pa.Table.from_batches([batch]).cast(SCHEMA)
        if first is not None:
            rows = rows.filter(pc.greater_equal(rows["serial"], first))
        if beyond is not None:
            rows = rows.filter(pc.less(rows["serial"], beyond))
        found.append(rows)
    return pa.concat_tables(found)


def _in_dictionaries(rows: pa.Table) -> pa.Table:
    for place, name in enumerate(SCHEMA.names):
        if name in TEXTS:
            rows = rows.set_column(place, name, rows[name].combine_chunks().dictionary_encode())
    return rows
