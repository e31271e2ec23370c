"""Rows of which a file has few a drive, as those of one day: they wait, by month, to be summed up with others."""

from __future__ import annotations

from collections import Counter, defaultdict
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from pathlib import Path

    import pyarrow as pa

TABLES_AT_ONCE = 1 << 10  # of small files: each takes 20 KB, however few rows it has


class RowsAtHand:
    """The rows of parts that no file of stays holds yet."""

    def __init__(self, rows_at_once: int) -> None:
        """Begin with no row. rows_at_once: how many may wait, and those of one file more."""
        self._rows_at_once = rows_at_once
        self._waiting: dict[str, dict[Path, pa.Table]] = defaultdict(dict)  # month -> part -> its rows
        self._rows: Counter[str] = Counter()  # month -> how many wait
        self._tables = 0

    def add(self, month: str, part: Path, rows: pa.Table) -> None:
        """Have the rows of a part wait."""
        self._waiting[month][part] = rows
        self._rows[month] += rows.num_rows
        self._tables += 1

    def take(self, month: str) -> dict[Path, pa.Table]:
        """The rows of a month by their parts; they wait no longer."""
        taken = self._waiting.pop(month, {})
        self._tables -= len(taken)
        self._rows.pop(month, None)
        return taken

    def fullest(self) -> str | None:
        """The month that most of the rows are of, if there is no room for more."""
        is_full = self._rows.total() >= self._rows_at_once or self._tables >= TABLES_AT_ONCE
        return self._rows.most_common(1)[0][0] if is_full else None
