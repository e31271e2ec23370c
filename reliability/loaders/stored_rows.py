"""The rows of parts that lie in the store, to be summed up."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pyarrow as pa
import pyarrow.parquet as pq

from reliability.loaders.columns import NAMES, TEXTS
from reliability.loaders.with_values import with_values

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence
    from pathlib import Path


def rows_of(parts: Sequence[Path], rows_at_once: int) -> Iterator[list[pa.Table]]:
    """The rows of several parts in tables, so many at a time as are put in order together."""
    waiting: list[pa.Table] = []
    for part in parts:
        file = pq.ParquetFile(part, read_dictionary=TEXTS)
        names = with_values(file.metadata, NAMES)
        for groups in _together(file.metadata, rows_at_once):
            waiting.append(file.read_row_groups(groups, names))
            if sum(rows.num_rows for rows in waiting) >= rows_at_once:
                yield waiting
                waiting = []
    if waiting:
        yield waiting


def _together(part: pq.FileMetaData, rows_at_once: int) -> Iterator[list[int]]:
    """The groups of rows of a part, by number, as many as are read together: so their numbers come in one piece."""
    rows = np.cumsum([part.row_group(number).num_rows for number in range(part.num_row_groups)])
    turns = (rows - 1) // rows_at_once
    for turn in np.unique(turns):
        yield np.flatnonzero(turns == turn).tolist()
