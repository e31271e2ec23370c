"""Rows as CSV, empty what is not there."""

from __future__ import annotations

import csv
import io
import math
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence
    from typing import TypeAlias

    Value: TypeAlias = str | int | float | None


def csv_text(columns: Sequence[str], rows: Iterable[Sequence[Value]]) -> str:
    """Write a line of names and a line a row; numbers as they are, unrounded.

    >>> csv_text(("model", "high"), [("TARN T18", float("inf")), ("A, b", None)]).splitlines()
    ['model,high', 'TARN T18,', '"A, b",']
    """
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(columns)
    writer.writerows([_cell(value) for value in row] for row in rows)
    return out.getvalue()


def _cell(value: Value) -> str | int | float:
    """Leave empty what is not there: None, and the infinite limit of a rate without exposure."""
    if value is None or (isinstance(value, float) and math.isinf(value)):
        return ""
    return value
