"""Where a curve starts, and how far it can be shown, when lives come under observation late."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from reliability.curve import ENOUGH_AT_RISK, FEW_AT_RISK, in_days
from reliability.errors import QuestionError

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from reliability.risk_table import RiskTable

_LEAST = (ENOUGH_AT_RISK, FEW_AT_RISK, 1)


@dataclass(frozen=True, slots=True)
class Start:
    """Ages in days between which at least so many lives are at risk; both None if there is no life."""

    age: float | None
    until: float | None
    least: int

    def after(self, table: RiskTable) -> NDArray[np.bool_]:
        """Which ages of a table come after the start."""
        return table.age > (np.inf if self.age is None else self.age)


def start_of(table: RiskTable, from_age: float | None = None) -> Start:
    """Find where a curve of these lives starts.

    from_age  an age in days to start at, or None for the first that can be trusted
    raises    `QuestionError` if nobody is at risk after `from_age`

    With late entry few lives are at risk at young ages. If one fails there the survival halves, and if all
    fail it is 0 for ever, however many are seen later. So a curve starts at the first age after which 10 or
    more are at risk, and is shown for as long as they are. Ages at which this holds may fall apart; those
    with the most failures count, then those with the most exposure, then the youngest. If there is no failure
    among 10 at risk though lives failed, 2 at risk have to do, or in the end 1.

    >>> from reliability.risk_table import risk_table
    >>> start_of(risk_table([5, *[30] * 11], [31, *[70] * 11], ["failed"] * 12))
    Start(age=30, until=70, least=10)
    """
    if not table.lives:
        return Start(None, None, ENOUGH_AT_RISK)
    ages, at_risk, failed = table.age, table.at_risk[1:], table.failed[1:]
    begins = ages[:-1]
    if from_age is not None:
        if not 0 <= from_age < ages[-1]:
            raise QuestionError(
                f"No drive was at risk after age {in_days(from_age)}; "
                f"give an age from 0 to below {in_days(ages[-1])}."
            )
        begins = np.maximum(begins, from_age)
    days = at_risk * (ages[1:] - begins).clip(0)
    failed = np.where(days > 0, failed, 0)
    runs = ((least, _fullest_run((at_risk >= least) & (days > 0), failed, days)) for least in _LEAST)
    least, run = next(  # at 1 there always is one, as whoever left last was at risk
        (least, run)
        for least, run in runs
        if run is not None and (least == 1 or failed[slice(*run)].any() or not failed.any())
    )
    begin = begins[run[0]].item() if from_age is None else from_age
    return Start(begin, ages[run[1]].item(), least)


def _fullest_run(
    inside: NDArray[np.bool_], failed: NDArray[np.int64], days: NDArray[np.generic]
) -> tuple[int, int] | None:
    """First place and place after the last of the unbroken run that holds most failures, then most days."""
    edges = np.flatnonzero(np.diff(np.concatenate(([False], inside, [False])).astype(np.int8)))
    runs = list(zip(edges[::2].tolist(), edges[1::2].tolist(), strict=True))
    return max(
        runs, key=lambda run: (failed[slice(*run)].sum(), days[slice(*run)].sum(), -run[0]), default=None
    )
