"""The stays of rows at hand: what stays.sql says, over whole columns of rows in order.

Rows in the order of drive, site and day make every stay a run of neighbours, and its first and last values a matter
of places. The query says what a stay is, and runs where rows are few or lie elsewhere; a test holds both equal.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pyarrow as pa

from reliability.loaders.arrow_arrays import as_arrow, as_numpy, flags, nothing, there, whole
from reliability.loaders.columns import COUNTERS
from reliability.loaders.order import dates_of, stay_numbers
from reliability.loaders.runs import Runs
from reliability.loaders.stay_columns import LAST_NAMED, LIFETIME_BYTES, SCHEMA

if TYPE_CHECKING:
    from collections.abc import Iterator

    from numpy.typing import NDArray

    from reliability.loaders.runs import Flags, Places, Values

LONGEST_HOURS = 131_400  # more is no number of hours that a drive can have been on


def stays_of(rows: pa.Table) -> pa.Table:
    """The stays of rows of one month that are in order; the columns are those of stays.sql."""
    found = dict(_Stays(rows).columns())
    total = len(found["serial"])
    return pa.Table.from_arrays(
        [found.get(field.name, nothing(field.type, total)) for field in SCHEMA], schema=SCHEMA
    )


def _days(rows: pa.Table) -> NDArray[np.int32]:
    """Days of the month, from 0."""
    dates = dates_of(rows)
    return dates - _month_of(dates[0]) if len(dates) else dates


def _month_of(date: np.int32) -> np.int32:
    """The first day of a day's month."""
    month = date.astype("datetime64[D]").astype("datetime64[M]").astype("datetime64[D]")
    return np.int32(month.astype(np.int64))


class _Stays:
    """The stays of some rows, column by column; what the rows do not have is left out."""

    def __init__(self, rows: pa.Table) -> None:
        self.rows = rows
        self.dates = dates_of(rows)
        self.runs = Runs.of(stay_numbers(rows))

    def columns(self) -> Iterator[tuple[str, pa.Array]]:
        """Names and values."""
        at = self.runs.first()
        yield "serial", self._texts("serial", at)
        yield "model_read", self._texts("model", at)
        if "site" in self.rows.column_names:
            yield "site", self._texts("site", at)
        yield "month", _as_dates(np.full(len(at), _month_of(self.dates[0]), np.int32))
        yield "days", as_arrow(np.bitwise_or.reduceat(np.int32(1) << _days(self.rows), at))
        yield "rows", as_arrow(self.runs.lengths.astype(np.int32))
        yield "temperature_count", as_arrow(np.zeros(len(at), np.int32))  # unless there are some
        yield from self._failure()
        for name in self.rows.column_names:
            if name == "power_on_hours":
                yield from self._hours()
            elif name == "temperature_c":
                yield from self._temperature()
            elif name == "capacity_tb":
                yield name, _known(self.runs.highest(*self._numbers(name)))
            elif name in LIFETIME_BYTES:
                yield from self._ends(name)
            elif name in COUNTERS:
                yield from self._counter(name)
            elif name in LAST_NAMED:
                at = self.runs.last(there(whole(self.rows[name])))
                yield name, self._texts(name, at)
                yield f"{name}_day", self._days_at(at)

    def _failure(self) -> Iterator[tuple[str, pa.Array]]:
        if "failed" in self.rows.column_names:
            column = whole(self.rows["failed"])
            known = there(column)  # of files without the column, no row has it
            failed = flags(column) if known is None else flags(column) & known
            yield "failed_day", self._days_at(self.runs.first(failed))

    def _hours(self) -> Iterator[tuple[str, pa.Array]]:
        hours, known = self._numbers("power_on_hours")
        if len(hours) and not 0 <= hours.min() <= hours.max() <= LONGEST_HOURS:
            possible = (hours >= 0) & (hours <= LONGEST_HOURS)
            known = possible if known is None else known & possible
        yield from self._end("first_hours", self.runs.first(known), hours)
        highest = self.runs.highest(hours, known)
        is_highest = hours == self.runs.spread(highest)
        if known is not None:
            is_highest &= known
        yield "highest_hours", _known(highest)
        yield "highest_hours_day", self._days_at(self.runs.first(is_highest))
        yield from self._end("last_hours", self.runs.last(known), hours)

    def _temperature(self) -> Iterator[tuple[str, pa.Array]]:
        celsius, known = self._numbers("temperature_c")
        counted = self.runs.count(known)
        yield "temperature_sum", as_arrow(self.runs.sum(celsius, known), counted == 0)
        yield "temperature_count", as_arrow(counted.astype(np.int32))
        yield "temperature_highest", _known(self.runs.highest(celsius, known))

    def _ends(self, name: str) -> Iterator[tuple[str, pa.Array]]:
        values, known = self._numbers(name)
        yield from self._end(f"first_{name}", self.runs.first(known), values)
        yield from self._end(f"last_{name}", self.runs.last(known), values)

    def _counter(self, name: str) -> Iterator[tuple[str, pa.Array]]:
        values, known = self._numbers(name)
        above_zero = values > 0 if known is None else (values > 0) & known
        if above_zero.any():
            yield f"{name}_from", self._days_at(self.runs.first(above_zero))
        yield from self._end(f"{name}_last", self.runs.last(known), values)

    def _end(self, name: str, at: Places, values: Values) -> Iterator[tuple[str, pa.Array]]:
        """The values at some places, and their days."""
        yield name, as_arrow(values[at], at < 0)
        yield f"{name}_day", self._days_at(at)

    def _numbers(self, name: str) -> tuple[Values, Flags | None]:
        column = whole(self.rows[name])
        return as_numpy(column).astype(np.float64, copy=False), there(column)

    def _texts(self, name: str, at: Places) -> pa.Array:
        texts = whole(self.rows[name])
        return texts.dictionary.take(texts.indices.take(as_arrow(at, at < 0)))

    def _days_at(self, at: Places) -> pa.Array:
        return _as_dates(self.dates[at], at < 0)


def _known(highest: Values) -> pa.Array:
    return as_arrow(highest, np.isneginf(highest))


def _as_dates(days: NDArray[np.int32], missing: Flags | None = None) -> pa.Array:
    return as_arrow(days, missing).view(pa.date32())
