"""Published lifetimes as risk tables."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from published_values import rows_of

from reliability.risk_table import RiskTable, risk_table

if TYPE_CHECKING:
    from collections.abc import Iterable

    from numpy.typing import NDArray


def table_of(rows: list[dict[str, str]], exit_: str, status: str = "status", entry: str = "") -> RiskTable:
    """Lives from the columns of a data file; without an entry column all enter at age 0."""
    ends = ["failed" if row[status] == "1" else "in service" for row in rows]
    begins = [float(row[entry]) if entry else 0.0 for row in rows]
    return risk_table(begins, [float(row[exit_]) for row in rows], ends)


def chains(last: Iterable[float], repairs: Iterable[float]) -> RiskTable:
    """Systems under watch from age 0 to the last age of each, as lives between their repairs.

    Counts are all that a table holds, so two repairs of one system at one age can be counted, too.
    """
    ends = list(last)
    ages, place = np.unique([0.0, *ends, *repairs], return_inverse=True)
    counts = [np.bincount(part, minlength=ages.size) for part in np.split(place, [1, 1 + len(ends)])]
    begun, left, failed = counts
    nothing = np.zeros_like(left)
    return RiskTable(ages, begun * len(ends) + failed, failed, nothing, nothing, left, exact=True)


def at(values: NDArray[np.generic], ages: NDArray[np.generic], age: float) -> float:
    """Value of a step function: that of the last step up to an age."""
    return float(values[np.searchsorted(ages, age, side="right") - 1])


def residents(sex: str) -> list[dict[str, str]]:
    """Without the four whose exit is not after their entry."""
    rows = rows_of("data/channing.csv", sex=sex)
    return [row for row in rows if int(row["exit"]) > int(row["entry"])]


def valve_seats(data: str) -> RiskTable:
    rows = rows_of(data)
    last: dict[str, float] = {}
    for row in rows:
        last[row["id"]] = max(last.get(row["id"], 0.0), float(row["time"]))
    return chains(last.values(), [float(row["time"]) for row in rows if row["status"] == "1"])
