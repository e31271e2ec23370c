"""Which columns of a Parquet file have a value at all, as far as the file tells: others need not be read."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable

    import pyarrow.parquet as pq


def with_values(file: pq.FileMetaData, names: Iterable[str]) -> list[str]:
    """The columns without those of which the file tells that they are empty; a file need not tell."""
    groups = [file.row_group(number) for number in range(file.num_row_groups)]
    places = {file.schema.column(place).name: place for place in range(file.num_columns)}
    return [name for name in names if not all(_is_empty(group.column(places[name])) for group in groups)]


def _is_empty(chunk: pq.ColumnChunkMetaData) -> bool:
    told = chunk.statistics
    return told is not None and bool(told.has_null_count) and told.null_count == chunk.num_values
