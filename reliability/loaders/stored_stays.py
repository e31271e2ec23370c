"""The stays of one month in files, made of its parts in the store."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pyarrow as pa
import pyarrow.parquet as pq

from reliability.loaders.columns import NAMES
from reliability.loaders.month_stays import stays_of
from reliability.loaders.narrow import joined
from reliability.loaders.order import in_order
from reliability.loaders.parts import AS_STAYS, TEXTS
from reliability.loaders.stay_columns import SCHEMA
from reliability.loaders.with_values import with_values

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping, Sequence
    from pathlib import Path


def summaries(parts: Sequence[Path], made: Mapping[Path, Path], file: Path, rows_at_once: int) -> list[Path]:
    """Files of stays of parts of one month, in which one stay may have several rows.

    made           parts whose stays were made while their rows were at hand -> the file of these
    file           for those that are made now
    rows_at_once   how many rows are put in order together
    """
    files = list(dict.fromkeys(made[part] for part in parts if part in made))
    others = [part for part in parts if part not in made]
    return [*files, lay_aside(_chunks(others, rows_at_once), file)] if others else files


def lay_aside(chunks: Iterable[pa.Table], file: Path) -> Path:
    """Write the stays of rows of one month, so many of them together as come together."""
    file.parent.mkdir(parents=True, exist_ok=True)
    with pq.ParquetWriter(file, SCHEMA, **AS_STAYS) as writer:
        for rows in chunks:
            writer.write_table(stays_of(in_order(rows)))
    return file


def _chunks(parts: Sequence[Path], rows_at_once: int) -> Iterator[pa.Table]:
    """The rows of several parts, so many at a time as are put in order together."""
    waiting: list[pa.Table] = []
    for part in parts:
        file = pq.ParquetFile(part, read_dictionary=TEXTS)
        names = with_values(file.metadata, NAMES)
        for groups in _together(file.metadata, rows_at_once):
            waiting.append(file.read_row_groups(groups, names))
            if sum(rows.num_rows for rows in waiting) >= rows_at_once:
                yield joined(waiting)
                waiting = []
    if waiting:
        yield joined(waiting)


def _together(part: pq.FileMetaData, rows_at_once: int) -> Iterator[list[int]]:
    """The groups of rows of a part, by number, as many as are read together: so their numbers come in one piece."""
    rows = np.cumsum([part.row_group(number).num_rows for number in range(part.num_row_groups)])
    turns = (rows - 1) // rows_at_once
    for turn in np.unique(turns):
        yield np.flatnonzero(turns == turn).tolist()
