"""The integrated hazard by age, estimated without a model."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from reliability.curve import in_days
from reliability.digits import LIMIT_DIGITS, counted, significant
from reliability.interval import check_level
from reliability.normal_deviate import normal_deviate
from reliability.survival.start import start_of

if TYPE_CHECKING:
    import pandas as pd
    from numpy.typing import NDArray

    from reliability.risk_table import RiskTable


@dataclass(frozen=True, slots=True, eq=False)
class IntegratedHazard:
    """Failures expected of one drive by each failure age, were it replaced by its like each time.

    ages            in days, rising, all above `from_age`
    at_risk         lives at risk at each: entry < age <= exit
    failures        lives that failed at it, 1 or more
    hazard          integrated from `from_age`; it rises at every age
    standard_error  of the hazard
    low, high       its limits
    from_age        age in days from which it is integrated; None if there was no life
    until_age       age up to which figures show it, as for a survival curve
    level           of the limits
    """

    ages: NDArray[np.int64] | NDArray[np.float64]
    at_risk: NDArray[np.int64]
    failures: NDArray[np.int64]
    hazard: NDArray[np.float64]
    standard_error: NDArray[np.float64]
    low: NDArray[np.float64]
    high: NDArray[np.float64]
    from_age: float | None
    until_age: float | None
    level: float

    def __post_init__(self) -> None:
        """Let nobody write to the arrays."""
        for name in ("ages", "at_risk", "failures", "hazard", "standard_error", "low", "high"):
            getattr(self, name).flags.writeable = False

    def __str__(self) -> str:
        """One line: the hazard by the last age that figures show."""
        shown = 0 if self.until_age is None else int(np.count_nonzero(self.ages <= self.until_age))
        if not shown:
            return "Integrated hazard: no failure, so it stays 0"
        last = shown - 1
        low, high = (significant(float(limit[last]), LIMIT_DIGITS) for limit in (self.low, self.high))
        start = f"from age {in_days(self.from_age)} to " if self.from_age else "to age "
        return (
            f"Integrated hazard {start}{in_days(self.ages[last])}: {significant(float(self.hazard[last]))} "
            f"({100 * self.level:g} % {low}-{high}), {int(self.at_risk[last]):,} at risk; "
            f"{counted(int(self.failures.sum()), 'failure')}"
        )

    def to_frame(self) -> pd.DataFrame:
        """One row a failure age."""
        import pandas as pd  # noqa: PLC0415  (a frame is loaded only where people look at one)

        return pd.DataFrame(
            {
                "age_days": self.ages,
                "at_risk": self.at_risk,
                "failures": self.failures,
                "hazard": self.hazard,
                "standard_error": self.standard_error,
                "low": self.low,
                "high": self.high,
            }
        )


def nelson_aalen(table: RiskTable, level: float = 0.95, from_age: float | None = None) -> IntegratedHazard:
    """Estimate the integrated hazard by age (Nelson-Aalen).

    level     of the limits, strictly between 0 and 1
    from_age  age in days to integrate from; by default where the survival curve starts
    raises    `QuestionError` for a level that is none, and if nobody is at risk after `from_age`

    Each failure age adds its failures d over those at risk n, and d/n^2 to the variance; ties are not broken.
    The limits are those of the logarithm, so they stay above 0. No failure: no step.

    Source: Nelson (1972), Aalen (1978); citations from memory.

    >>> from reliability.risk_table import risk_table
    >>> hazard = nelson_aalen(risk_table([0, 0, 0, 4], [3, 5, 5, 9], ["failed"] * 4))
    >>> hazard.hazard.round(3).tolist()
    [0.333, 1.0, 2.0]
    """
    check_level(level)
    start = start_of(table, from_age)
    steps = start.after(table) & (table.failed > 0)
    at_risk, failed = table.at_risk[steps], table.failed[steps]
    hazard = np.cumsum(failed / at_risk)
    error = np.sqrt(np.cumsum(failed / at_risk**2))
    spread = np.exp(normal_deviate(level) * error / hazard)
    return IntegratedHazard(
        ages=table.age[steps],
        at_risk=at_risk,
        failures=failed,
        hazard=hazard,
        standard_error=error,
        low=hazard / spread,
        high=hazard * spread,
        from_age=start.age,
        until_age=start.until,
        level=level,
    )
