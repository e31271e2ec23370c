"""On which line of its file a record begins.

Blank lines, and line ends within quotes, make it more than a count of records.
"""

from __future__ import annotations

import csv
import sys
from contextlib import suppress
from functools import cached_property
from typing import TYPE_CHECKING

from reliability.loaders.text import BROKEN, open_text

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    from reliability.loaders.mapping import Mapping

LINE_LIMIT = 16 * 1024 * 1024  # bytes; a longer line is rejected


class Lines:
    """Where the records of one file begin. Asked only when there is something to point at: it reads the file again."""

    def __init__(self, path: Path, mapping: Mapping, *, packed: bool, broken: Sequence[int]) -> None:
        self._path, self._mapping, self._packed = path, mapping, packed
        self._broken = frozenset(broken)

    def of_records(self, records: Sequence[int]) -> list[int]:
        """Lines of records, counted from 1, the header and blank lines included."""
        return [self._begins[record - 1] if record <= len(self._begins) else record for record in records]

    def of_whole(self, ordinals: Sequence[int]) -> list[int]:
        """Lines of records, counted from 0, over those that could be cut into their columns."""
        return [self._whole[ordinal] if ordinal < len(self._whole) else ordinal + 2 for ordinal in ordinals]

    @cached_property
    def _begins(self) -> list[int]:
        return self._read[0]

    @cached_property
    def _whole(self) -> list[int]:
        return self._read[1]

    @cached_property
    def _read(self) -> tuple[list[int], list[int]]:
        begins: list[int] = []
        whole: list[int] = []
        csv.field_size_limit(sys.maxsize)  # a line may be too long and the ones after it good
        file = self._mapping.file
        # What this reader cannot follow to the end was cut by the engine; from there on lines are counted by records.
        with (
            suppress(csv.Error, *BROKEN),
            open_text(self._path, file.encoding, packed=self._packed, errors="replace") as text,
        ):
            reader = csv.reader(text, delimiter=file.delimiter)
            line = 1
            for record, cells in enumerate(reader, start=1):
                begins.append(line)
                if record > 1 and cells and record not in self._broken:
                    whole.append(line)
                line = reader.line_num + 1
        return begins, whole
