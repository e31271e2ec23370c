"""Rows of CSV whose cells mean at once what they say, typed whole columns at a time.

What is typed here is what the careful reading would make of it; whatever could be read in two ways is left to that.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from functools import cached_property
from math import isfinite
from typing import TYPE_CHECKING

import numpy as np
import pyarrow as pa
import pyarrow.compute as pc
from pyarrow import csv

from reliability.loaders.arrow_arrays import as_arrow, codes_of, reckoned
from reliability.loaders.columns import FIRST_DAY, NUMBERS
from reliability.loaders.mapping import ISO_DAY, Mapping
from reliability.loaders.text import RAGGED

if TYPE_CHECKING:
    from collections.abc import Mapping as Dictionary

TEXT = pa.dictionary(pa.int32(), pa.string())  # each text once, and its number in the rows
WHOLE_TEXT = (1 << 31) - 1  # bytes: what is given is typed in one go
SPACE, LAST_OF_ASCII = 0x20, 0x7E
WORDS = {
    **dict.fromkeys(("true", "True", "TRUE", "1", "yes", "t"), True),
    **dict.fromkeys(("false", "False", "FALSE", "0", "no", "f"), False),
}  # those that stand for failed or not without further looks


@dataclass(frozen=True)
class PlainForm:
    """How the plain rows of one file are cut and typed."""

    width: int  # columns of the file
    places: Dictionary[str, int]  # our columns, and extra ones -> their place in the file
    mapping: Mapping
    day: date | None  # where it stands in the name of the file

    @property
    def is_possible(self) -> bool:
        """Whether any row of the file can be read this way."""
        places = list(self.places.values())
        return (
            self.mapping.file.is_utf8
            and self.mapping.date_format() == ISO_DAY
            and len(set(places)) == len(places)
            and (self.day is None or _is_known_day(self.day, self.day))
        )

    @cached_property
    def options(self) -> tuple[csv.ReadOptions, csv.ParseOptions, csv.ConvertOptions]:
        """How Arrow is to read some lines; made once, for that takes as long as to read a hundred rows."""
        names = {place: ours for ours, place in self.places.items()}
        read = [names[place] for place in sorted(names)]
        return (
            csv.ReadOptions(
                column_names=[names.get(place, f"cell {place}") for place in range(self.width)],
                block_size=WHOLE_TEXT,
                use_threads=False,
            ),
            csv.ParseOptions(delimiter=self.mapping.file.delimiter, quote_char=False),
            csv.ConvertOptions(
                include_columns=read,
                column_types={name: _kind(name) for name in read},
                null_values=[""],
                strings_can_be_null=True,
                decimal_point=self.mapping.file.decimal,
            ),
        )


def plain_rows(text: memoryview, form: PlainForm) -> pa.Table | None:
    """Type some whole lines; None if anything in them is odd.

    The table has our columns as far as the file has them, texts in dictionaries.
    """
    try:
        if form.width > len(form.places) and not _is_utf8(text):
            return None  # the cells that are typed are looked at by the typing
        table = _typed(text, form)
    except (pa.ArrowInvalid, pa.ArrowNotImplementedError):
        return None
    columns = {}
    for name in table.column_names:
        column = _as_meant(name, table[name], form.mapping)
        if column is None:
            return None
        columns[name] = column
    if form.day is not None:
        days = np.full(table.num_rows, np.datetime64(form.day, "D").astype(np.int32))
        columns["date"] = as_arrow(days).view(pa.date32())
    return pa.Table.from_pydict(columns)


def _typed(text: memoryview, form: PlainForm) -> pa.Table:
    return csv.read_csv(pa.BufferReader(pa.py_buffer(text)), *form.options)


def _kind(name: str) -> pa.DataType:
    return pa.date32() if name == "date" else pa.float64() if name in NUMBERS else TEXT


def _as_meant(name: str, column: pa.ChunkedArray, mapping: Mapping) -> pa.ChunkedArray | None:
    """The column as the store keeps it; None if a cell of it is odd."""
    if name == "date":
        first, last = pc.min_max(column).as_py().values()
        return column if column.null_count == 0 and _is_known_day(first, last) else None
    if name in NUMBERS:
        scale = mapping.scales()[name]
        if not isfinite(pc.sum(column).as_py() or 0):
            return None  # one of them is no number, or has no end
        return column if scale == 1 else reckoned(column, lambda numbers: numbers * scale)
    if name in mapping.extra.columns:
        return column
    needed = name in {"serial", "model"}
    if (needed and column.null_count) or any(_is_ragged(chunk.dictionary) for chunk in column.chunks):
        return None
    return _flags(column, mapping) if name == "failed" else column


def _flags(column: pa.ChunkedArray, mapping: Mapping) -> pa.ChunkedArray | None:
    """Failed or not; an empty cell is not."""
    values = mapping.failed.values if mapping.failed is not None else None
    chunks = []
    for chunk in column.chunks:
        words = chunk.dictionary.to_pylist()
        if values is None and not WORDS.keys() >= set(words):
            return None
        meant = [word in values if values is not None else WORDS[word] for word in words]
        chunks.append(as_arrow(np.array([*meant, False])[codes_of(chunk)]))
    return pa.chunked_array(chunks, pa.bool_())


def _is_ragged(texts: pa.StringArray) -> bool:
    """Whether a text is empty, needs trimming, or holds a control character."""
    _, ends, text = texts.buffers()
    letters = np.frombuffer(text, np.uint8) if text is not None else np.zeros(0, np.uint8)
    lengths = np.diff(np.frombuffer(ends, np.int32, len(texts) + 1, 4 * texts.offset))
    if letters.size and lengths.all() and letters.min() > SPACE and letters.max() <= LAST_OF_ASCII:
        return False  # the usual serial numbers, without a look at each
    return bool(pc.any(pc.match_substring_regex(texts, RAGGED)).as_py())


def _is_known_day(first: date | None, last: date | None) -> bool:
    tomorrow = datetime.now(UTC).date() + timedelta(days=1)
    return first is not None and last is not None and first >= FIRST_DAY and last <= tomorrow


def _is_utf8(text: memoryview) -> bool:
    try:
        str(text, "utf-8")
    except UnicodeDecodeError:
        return False
    return True
