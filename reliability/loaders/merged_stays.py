"""Summaries of the same stays become one, over whole columns: equal to the stays of all their rows at once."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pyarrow as pa

from reliability.loaders.arrow_arrays import as_arrow, as_numpy, codes_of, there, whole
from reliability.loaders.columns import COUNTERS
from reliability.loaders.runs import Runs
from reliability.loaders.stay_columns import LAST_NAMED, LIFETIME_BYTES, SCHEMA

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from numpy.typing import NDArray

    from reliability.loaders.runs import Flags, Places, Values

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


def merged(summaries: pa.Table) -> pa.Table:
    """One row a stay, of summaries of one month in any order; texts have to be in dictionaries, one a column.

    Days are joined by or, the failed day is the earlier, hours and counters go by their days. What no summary knows
    stays unknown.
    """
    found = dict(_Merging(summaries).columns())
    total = len(found["serial"])
    return pa.Table.from_arrays(
        [found.get(field.name, pa.nulls(total, field.type)) for field in SCHEMA], schema=SCHEMA
    )


class _Merging:
    """Summaries in the order of their stays, column by column; what no summary knows is left out."""

    def __init__(self, summaries: pa.Table) -> None:
        self.summaries = summaries
        number = np.zeros(summaries.num_rows, np.int64)
        for name in KEYS:
            texts = whole(summaries[name])
            number = number * (len(texts.dictionary) + 1) + codes_of(texts) + 1
        self.order = np.argsort(number, kind="stable")
        self.runs = Runs.of(number[self.order])

    def columns(self) -> Iterator[tuple[str, pa.Array]]:
        """Names and values."""
        for name in (*KEYS, "month"):
            yield name, self._at(name, self.runs.first())
        days = as_numpy(whole(self.summaries["days"]))[self.order]
        yield "days", as_arrow(np.bitwise_or.reduceat(days, self.runs.starts))
        for name in SUMS:
            values, known = self._numbers(name)
            total = self.runs.sum(values, known).astype(SCHEMA.field(name).type.to_pandas_dtype())
            yield name, as_arrow(total, self.runs.count(known) == 0)
        for name, which in self._known_somewhere(OF_ALL):
            yield name, self._at(name, self.runs.first(self._is(which, name)))
        for name, which in self._known_somewhere({"highest_hours": HIGHEST}):
            among_highest = self._is(LOWEST, f"{name}_day", self._is(which, name))
            yield from self._with_day(name, among_highest)
        for name, which in self._known_somewhere(BY_THEIR_DAY):
            yield from self._with_day(name, self._is(which, f"{name}_day"))

    def _known_somewhere(self, names: Mapping[str, int]) -> Iterator[tuple[str, int]]:
        for name, which in names.items():
            if self.summaries[name].null_count < self.summaries.num_rows:
                yield name, which

    def _with_day(self, name: str, flags: Flags) -> Iterator[tuple[str, pa.Array]]:
        """The value and its day in the first summary of each stay that has the flag."""
        at = self.runs.first(flags)
        yield name, self._at(name, at)
        yield f"{name}_day", self._at(f"{name}_day", at)

    def _at(self, name: str, at: Places) -> pa.Array:
        column = whole(self.summaries[name]).take(as_arrow(self.order[at], at < 0))
        return column.dictionary_decode() if name in TEXTS else column

    def _is(self, which: int, name: str, among: Flags | None = None) -> Flags:
        """Whether a summary has the lowest, or highest, value of its stay, among those with a flag."""
        values, known = self._numbers(name)
        known = known if among is None else among if known is None else known & among
        best = self.runs.highest(which * values, known)
        is_best: Flags = which * values == self.runs.spread(best)
        return is_best if known is None else is_best & known

    def _numbers(self, name: str) -> tuple[Values, Flags | None]:
        """A column as numbers, days since 1970 for days; and which of them there are, None: all."""
        column = whole(self.summaries[name])
        numbers = column.view(pa.int32()) if pa.types.is_date32(column.type) else column
        known = there(column)
        values: NDArray[np.float64] = as_numpy(numbers)[self.order].astype(np.float64)
        return values, None if known is None else known[self.order]
