"""Rows in the order of their drives, by month: so that the rows of a stay are neighbours, and parts pack well."""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np
import pyarrow as pa

from reliability.loaders.arrow_arrays import as_arrow, as_numpy, codes_of, whole
from reliability.loaders.runs import Runs

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from numpy.typing import NDArray

    from reliability.loaders.runs import Numbers

DAYS_A_MONTH = 32  # room for the day in the key of the order
ROOM_A_ROW = 16  # a look-up over more numbers than that takes longer than to sort


def in_order(rows: pa.Table) -> pa.Table:
    """Rows in the order of month, drive, model, site and day; texts have to be in dictionaries, one a column.

    Column by column, so that of rows that nobody else holds little more is in memory than once.
    """
    key = _order(rows)
    if (key[1:] >= key[:-1]).all():
        return rows
    order = as_arrow(_places(key))
    columns = {}
    for name in rows.column_names:
        columns[name] = whole(rows[name]).take(order)
        rows = rows.drop_columns([name])
    return pa.Table.from_pydict(columns)


def months_of(rows: pa.Table) -> Iterator[tuple[str, pa.Table]]:
    """The rows of each month under its name, of rows that are in order."""
    dates = dates_of(rows)
    starts = Runs.of(_months_and_days(dates)[0]).starts
    names = dates[starts].astype("datetime64[D]").astype("datetime64[M]").astype(str)
    for name, (start, end) in zip(names, pairwise([*starts.tolist(), rows.num_rows]), strict=True):
        yield str(name), rows.slice(start, end - start)


def pieces_of(rows: pa.Table, size: int) -> Iterator[pa.Table]:
    """Rows that are in order in pieces of about so many, each with all the rows of its drives."""
    drives = Runs.of(codes_of(whole(rows["serial"])))
    wanted = np.arange(size, rows.num_rows, size)
    ends = np.append(drives.starts, rows.num_rows)[np.searchsorted(drives.starts, wanted)]
    for start, end in pairwise(np.unique([0, *ends, rows.num_rows]).tolist()):
        yield rows.slice(start, end - start)


def _order(rows: pa.Table) -> Numbers:
    """A number for each row that rises in the order of month, drive, model, site and day."""
    stays, (months, days) = stay_numbers(rows), _months_and_days(dates_of(rows))
    if months.any():
        stays = stays + months * (stays.max() + np.int64(1))
    return stays * np.int64(DAYS_A_MONTH) + days


def _places(key: Numbers) -> Numbers:
    """Where the rows of ascending keys stand; of equal keys the first row first."""
    room = int(key.max()) + 1
    if room <= ROOM_A_ROW * len(key):
        row_of = np.full(room, -1, np.int32)
        row_of[key] = np.arange(len(key), dtype=np.int32)
        places = row_of[row_of >= 0]
        if len(places) == len(key):
            return places
    return np.argsort(key, kind="stable")


def repeated(rows: pa.Table) -> int:
    """How many rows are second or later ones of one drive, as its model was read, and day."""
    dates = dates_of(rows)
    first, last = dates.min(), dates.max()
    days = np.sort(_numbers(rows, ("model",)) * np.int64(last - first + 1) + (dates - first), kind="stable")
    return int((days[1:] == days[:-1]).sum())


def stay_numbers(rows: pa.Table) -> Numbers:
    """One number for each drive, as its model was read, and site."""
    return _numbers(rows, ("model", "site"))


def _numbers(rows: pa.Table, besides: Sequence[str]) -> Numbers:
    """One number for each serial number and what stands in other columns of text."""
    number: Numbers = codes_of(whole(rows["serial"]))
    for name in besides:
        if name in rows.column_names:
            texts = whole(rows[name])
            codes = codes_of(texts) + 1
            if not _is_one_each(codes, number):
                number = number * np.int64(len(texts.dictionary) + 1) + codes
    return number


def _is_one_each(codes: NDArray[np.int32], number: Numbers) -> bool:
    """Whether rows of one number have one code, as each drive has a model, and mostly a site."""
    room = int(number.max()) + 1
    if room > ROOM_A_ROW * len(number):
        return False
    code_of = np.empty(room, np.int32)
    code_of[number] = codes
    return bool((code_of[number] == codes).all())


def _months_and_days(dates: NDArray[np.int32]) -> tuple[Numbers, Numbers]:
    """The month, from the earliest, and the day in it, from 0, of each date; looked up, for each stands there often."""
    first = dates.min()
    days = np.arange(first, dates.max() + 1).astype("datetime64[D]")
    months = days.astype("datetime64[M]")
    at = dates - first
    return (months - months[0]).astype(np.int16)[at], (days - months).astype(np.int8)[at]


def dates_of(rows: pa.Table) -> NDArray[np.int32]:
    """Days since 1970."""
    return as_numpy(whole(rows["date"]).view(pa.int32()))
