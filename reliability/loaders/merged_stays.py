"""Summaries of the same stays become one, over whole columns: equal to the stays of all their rows at once."""

from __future__ import annotations

from typing import TYPE_CHECKING, Protocol

import numpy as np
import pyarrow as pa

from reliability.loaders.arrow_arrays import as_arrow, as_numpy, codes_of, nothing, there
from reliability.loaders.columns import COUNTERS
from reliability.loaders.runs import Runs
from reliability.loaders.stay_columns import LAST_NAMED, LIFETIME_BYTES, SCHEMA

if TYPE_CHECKING:
    from collections.abc import Iterator

    from numpy.typing import NDArray

    from reliability.loaders.runs import Flags, Numbers, Places, Values

KEYS = ("serial", "model_read", "site")  # within a month
TEXTS = (*KEYS, *LAST_NAMED)
SUMS = ("rows", "temperature_sum", "temperature_count")
LOWEST, HIGHEST = -1, 1
OF_ALL = {
    "failed_day": LOWEST,
    **{f"{name}_from": LOWEST for name in COUNTERS},
    **dict.fromkeys(("temperature_highest", "capacity_tb"), HIGHEST),
}
BY_THEIR_DAY = {
    **dict.fromkeys(("first_hours", *(f"first_{name}" for name in LIFETIME_BYTES)), LOWEST),
    **dict.fromkeys(("last_hours", *(f"last_{name}" for name in LIFETIME_BYTES)), HIGHEST),
    **dict.fromkeys((*(f"{name}_last" for name in COUNTERS), *LAST_NAMED), HIGHEST),
}


class Columns(Protocol):
    """Summaries of one month in any order, by the names of their columns; texts are in dictionaries."""

    def __getitem__(self, name: str) -> pa.Array:
        """A column of them."""


def merged(summaries: Columns) -> pa.Table:
    """One row a stay.

    Days are joined by or, the failed day is the earlier, hours and counters go by their days. What no summary knows
    stays unknown. Each column is asked for once, and of those that come in none is kept, but for the keys.
    """
    found = dict(_Merging(summaries).columns())
    total = len(found["serial"])
    return pa.Table.from_arrays(
        [found.get(field.name, nothing(field.type, total)) for field in SCHEMA], schema=SCHEMA
    )


class _Merging:
    """Summaries in the order of their stays, column by column; what no summary knows is left out."""

    def __init__(self, summaries: Columns) -> None:
        self.summaries = summaries
        self.keys = {name: summaries[name] for name in KEYS}
        number: Numbers = np.zeros(1, np.int64)
        for texts in self.keys.values():
            number = number * np.int64(len(texts.dictionary) + 1) + codes_of(texts) + 1
        self.order = np.argsort(number, kind="stable")
        self.runs = Runs.of(number[self.order])

    def columns(self) -> Iterator[tuple[str, pa.Array]]:
        """Names and values."""
        for name, texts in self.keys.items():
            yield name, self._at(self.runs.first(), texts)
        yield "month", self._at(self.runs.first(), self.summaries["month"])
        days = as_numpy(self.summaries["days"])[self.order]
        yield "days", as_arrow(np.bitwise_or.reduceat(days, self.runs.starts))
        for name in SUMS:
            values, known = self._numbers(self.summaries[name])
            total = self.runs.sum(values, known).astype(SCHEMA.field(name).type.to_pandas_dtype())
            yield name, as_arrow(total, self.runs.count(known) == 0)
        for name, which in OF_ALL.items():
            if (column := self._column(name)) is not None:
                yield name, self._at(self.runs.first(self._is(which, column)), column)
        if (hours := self._column("highest_hours")) is not None:
            day = self.summaries["highest_hours_day"]
            among_highest = self._is(LOWEST, day, self._is(HIGHEST, hours))
            yield from self._with_day("highest_hours", hours, day, among_highest)
        for name, which in BY_THEIR_DAY.items():
            if (column := self._column(name)) is not None:
                day = self.summaries[f"{name}_day"]
                yield from self._with_day(name, column, day, self._is(which, day))

    def _column(self, name: str) -> pa.Array | None:
        """A column; None if no summary knows anything of it."""
        column = self.summaries[name]
        return column if column.null_count < len(column) else None

    def _with_day(
        self, name: str, column: pa.Array, day: pa.Array, flags: Flags
    ) -> Iterator[tuple[str, pa.Array]]:
        """The value and its day in the first summary of each stay that has the flag."""
        at = self.runs.first(flags)
        yield name, self._at(at, column)
        yield f"{name}_day", self._at(at, day)

    def _at(self, at: Places, column: pa.Array) -> pa.Array:
        taken = column.take(as_arrow(self.order[at], at < 0))
        return taken.dictionary_decode() if pa.types.is_dictionary(column.type) else taken

    def _is(self, which: int, column: pa.Array, among: Flags | None = None) -> Flags:
        """Whether a summary has the lowest, or highest, value of its stay, among those with a flag."""
        values, known = self._numbers(column)
        known = known if among is None else among if known is None else known & among
        best = self.runs.highest(which * values, known)
        is_best: Flags = which * values == self.runs.spread(best)
        return is_best if known is None else is_best & known

    def _numbers(self, column: pa.Array) -> tuple[Values, Flags | None]:
        """A column as numbers, days since 1970 for days; and which of them there are, None: all."""
        numbers = column.view(pa.int32()) if pa.types.is_date32(column.type) else column
        known = there(column)
        values: NDArray[np.float64] = as_numpy(numbers)[self.order].astype(np.float64)
        return values, None if known is None else known[self.order]
