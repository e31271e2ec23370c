"""Awkward drives: those whose month cannot be summed up row by row."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING

import numpy as np

from reliability.loaders.arrow_arrays import as_arrow, as_numpy, codes_of, there, whole
from reliability.loaders.runs import Runs

if TYPE_CHECKING:
    from collections.abc import Mapping

    import pyarrow as pa

ASKED = ["serial", "model_read", "days", "rows", "failed_day"]  # of stays


def awkward_serials(stays: pa.Table, key_of: Mapping[str, str]) -> list[str]:
    """Serial numbers of drives with two rows on one day, or with rows after the day of a failure; usually of nobody.

    stays    the columns `ASKED` of all stays of one month
    key_of   model as read -> as it is called
    """
    by_name: dict[tuple[str, str], _Days] = defaultdict(_Days)  # serial, model as read
    by_model: dict[tuple[str, str], _Days] = defaultdict(_Days)  # serial, model
    for serial, model, days, rows, failed in zip(*_suspects(stays).to_pydict().values(), strict=True):
        by_name[serial, model].add(days, rows, failed)
        by_model[serial, key_of[model]].add(days, rows, failed)
    twice = {serial for (serial, _), days in by_name.items() if days.any_twice}
    late = {serial for (serial, _), days in by_model.items() if days.any_after_failure}
    return sorted(twice | late)


@dataclass(slots=True)
class _Days:
    """The days of a drive in a month, from its stays."""

    days: int = 0  # bit d-1 for day d
    rows: int = 0
    failed: date = date.max

    def add(self, days: int, rows: int, failed: date | None) -> None:
        self.days |= days
        self.rows += rows
        self.failed = min(self.failed, failed or date.max)

    @property
    def any_twice(self) -> bool:
        return self.rows != self.days.bit_count()

    @property
    def any_after_failure(self) -> bool:
        return self.days >> self.failed.day != 0


def _suspects(stays: pa.Table) -> pa.Table:
    """Those of serial numbers with more rows than days, or with a failure; with all others nothing can be awkward."""
    serials = codes_of(whole(stays["serial"].dictionary_encode()))
    order = np.argsort(serials, kind="stable")
    runs = Runs.of(serials[order])
    days, rows = (as_numpy(whole(stays[name]))[order] for name in ("days", "rows"))
    is_suspect = np.bitwise_count(np.bitwise_or.reduceat(days, runs.starts)) != runs.sum(rows)
    failed = whole(stays["failed_day"])
    if failed.null_count < len(failed):
        known = there(failed)
        is_suspect |= runs.count(None if known is None else known[order]) > 0
    of_suspects = np.empty(len(order), np.bool_)
    of_suspects[order] = runs.spread(is_suspect)
    return stays.filter(as_arrow(of_suspects)).select(ASKED)
