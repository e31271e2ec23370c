"""Arrays of numbers as Arrow sees them.

Arrow's own way asks first whether they are of pandas, and loads it to ask: that takes longer than to load a day.
"""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING, Any

import numpy as np
import pyarrow as pa

if TYPE_CHECKING:
    from collections.abc import Callable

    from numpy.typing import NDArray


def as_arrow(values: NDArray[Any], missing: NDArray[np.bool_] | None = None) -> pa.Array:
    """The same values; those that are missing null."""
    there = None if missing is None else pa.py_buffer(np.packbits(~missing, bitorder="little"))
    is_flags = values.dtype == np.bool_
    data = np.packbits(values, bitorder="little") if is_flags else np.ascontiguousarray(values)
    return pa.Array.from_buffers(pa.from_numpy_dtype(values.dtype), len(values), [there, pa.py_buffer(data)])


def whole(column: pa.ChunkedArray) -> pa.Array:
    """A column in one piece; a column that is in one piece already is not copied."""
    return column.chunk(0) if column.num_chunks == 1 else column.combine_chunks()


def as_numpy(column: pa.Array) -> NDArray[Any]:
    """The same numbers; where there is none, any."""
    kind = np.dtype(column.type.to_pandas_dtype())
    return np.frombuffer(column.buffers()[1], kind, len(column), column.offset * kind.itemsize)


def flags(column: pa.Array) -> NDArray[np.bool_]:
    """The same flags; where there is none, any."""
    return _bits(column.buffers()[1], column)


def there(column: pa.Array) -> NDArray[np.bool_] | None:
    """Which values there are; None: all."""
    return _bits(column.buffers()[0], column) if column.null_count else None


def nothing(kind: pa.DataType, rows: int) -> pa.Array:
    """Nulls, of memory that all who ask for them share: a file of snapshots has nine columns of them, stays thirty."""
    return _nothing(kind, 1 << rows.bit_length())[:rows]


@lru_cache(16)
def _nothing(kind: pa.DataType, rows: int) -> pa.Array:
    return pa.nulls(rows, kind)


def reckoned(column: pa.ChunkedArray, reckon: Callable[[NDArray[Any]], NDArray[Any]]) -> pa.ChunkedArray:
    """A column of numbers with others reckoned from them; where there is none, none."""
    numbers = whole(column)
    known = there(numbers)
    return pa.chunked_array([as_arrow(reckon(as_numpy(numbers)), None if known is None else ~known)])


def as_text(words: str) -> pa.Array:
    """A text, once."""
    data = words.encode()
    ends = np.array([0, len(data)], np.int32)
    return pa.Array.from_buffers(pa.string(), 1, [None, pa.py_buffer(ends), pa.py_buffer(data)])


def codes_of(texts: pa.DictionaryArray) -> NDArray[np.int32]:
    """The number of each text in the dictionary; -1 where there is none."""
    codes: NDArray[np.int32] = as_numpy(texts.indices)
    known = there(texts.indices)
    return codes if known is None else np.where(known, codes, np.int32(-1))


def _bits(packed: pa.Buffer, column: pa.Array) -> NDArray[np.bool_]:
    end = column.offset + len(column)
    bits = np.unpackbits(np.frombuffer(packed, np.uint8), count=end, bitorder="little")
    return bits[column.offset :].astype(np.bool_)
