"""Numbers in as few bytes as hold them, while rows wait to be put in order: most counters need one or two of eight."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pyarrow as pa

from reliability.loaders.arrow_arrays import reckoned, whole

if TYPE_CHECKING:
    from collections.abc import Sequence

WHOLE = (pa.int8(), pa.int16(), pa.int32())


def narrowed(column: pa.ChunkedArray) -> pa.ChunkedArray:
    """The same numbers, whole ones in the smallest type that holds all of them; zero has no sign."""
    for kind in WHOLE:
        try:
            return column.cast(kind)
        except pa.ArrowInvalid:
            continue
    return reckoned(column, lambda numbers: numbers + 0.0)


def joined(tables: Sequence[pa.Table]) -> pa.Table:
    """The rows of several tables, a column in the widest type that it has in one of them.

    Texts are in one dictionary and one piece, for they are looked at several times; numbers as they came.
    """
    rows = pa.concat_tables(tables, promote_options="permissive").unify_dictionaries()
    for place, field in enumerate(rows.schema):
        if pa.types.is_dictionary(field.type):
            rows = rows.set_column(place, field, whole(rows[field.name]))
    return rows
