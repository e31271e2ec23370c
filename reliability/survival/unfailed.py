"""What exposure without a failure says about survival: how large the hazard can have been at most."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from reliability.risk_table import RiskTable


def hazard_at_most(table: RiskTable, most: float, start: float, age: float, until: float) -> float:
    """Largest integrated hazard from `start` to `age` that goes with no failure up to `until`.

    most     failures that there can have been at most where none was seen: an upper limit of their mean
    start, age, until  ages in days, start <= age <= until, with lives at risk on the way

    If the rate is the same from `start` to some age, the failures expected on the way are that rate times the
    exposure, so the hazard to that age is at most `most` over the mean number at risk. The hazard to a younger
    age is no larger, so each age may use the exposure up to any later one, and takes what serves it best. Where
    all are at risk all the time this is the exact limit of a binomial count of none, whatever the rate does.

    >>> from reliability.risk_table import risk_table
    >>> table = risk_table([0] * 100, [730] * 100, ["in service"] * 100)
    >>> round(100 * hazard_at_most(table, 2.996, 0, 365, 730), 3)
    2.996
    """
    if age <= start:
        return 0.0
    exposure = np.concatenate(([0.0], np.cumsum(table.at_risk[1:] * np.diff(table.age))))
    later = table.age[(table.age > age) & (table.age <= until)]
    ends = np.concatenate(([age], later))
    gained = np.interp(ends, table.age, exposure) - np.interp(start, table.age, exposure)
    return most / float((gained / (ends - start)).max())
