"""The stays of one month in files, made of its parts in the store."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pyarrow as pa
import pyarrow.parquet as pq

from reliability.loaders.columns import NAMES
from reliability.loaders.month_stays import stays_of
from reliability.loaders.narrow import joined
from reliability.loaders.order import in_order
from reliability.loaders.parts import AS_STAYS, TEXTS
from reliability.loaders.stay_columns import SCHEMA

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence
    from pathlib import Path

ROWS_A_STAY = 4  # with fewer rows, stays of several parts are more to merge than their rows are to sum up


def summaries(
    parts: Sequence[Path], at_hand: Mapping[Path, Path], file: Path, rows_at_once: int
) -> list[Path]:
    """Files of stays of parts of one month, in which one stay may have several rows.

    at_hand        parts whose stays were laid aside when they were written -> the file of these
    file           for those that are made now
    rows_at_once   how many rows are put in order together
    """
    files = [
        at_hand[part]
        for part in parts
        if part in at_hand and (len(parts) == 1 or _is_summary(part, at_hand[part]))
    ]
    others = [part for part in parts if at_hand.get(part) not in files]
    if others:
        files.append(_lay_aside(others, file, rows_at_once))
    return files


def _is_summary(part: Path, stays: Path) -> bool:
    rows, summed_up = pq.read_metadata(part).num_rows, pq.read_metadata(stays).num_rows
    return bool(rows >= ROWS_A_STAY * summed_up)


def _lay_aside(parts: Sequence[Path], file: Path, rows_at_once: int) -> Path:
    file.parent.mkdir(parents=True, exist_ok=True)
    with pq.ParquetWriter(file, SCHEMA, **AS_STAYS) as writer:
        for rows in _chunks(parts, rows_at_once):
            writer.write_table(stays_of(in_order(rows)))
    return file


def _chunks(parts: Sequence[Path], rows_at_once: int) -> Iterator[pa.Table]:
    """The rows of several parts, so many at a time as are put in order together."""
    waiting: list[pa.Table] = []
    for part in parts:
        file = pq.ParquetFile(part, read_dictionary=TEXTS)
        for group in range(file.num_row_groups):
            waiting.append(file.read_row_group(group, NAMES))
            if sum(rows.num_rows for rows in waiting) >= rows_at_once:
                yield joined(waiting)
                waiting = []
    if waiting:
        yield joined(waiting)
