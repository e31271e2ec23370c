"""What became of the drives by age: shares that failed, were retired, vanished, each in competition."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from reliability.curve import in_days, share
from reliability.survival.start import start_of

if TYPE_CHECKING:
    import pandas as pd
    from numpy.typing import NDArray

    from reliability.risk_table import RiskTable

CAUSES = ("failed", "retired", "vanished")


@dataclass(frozen=True, slots=True, eq=False)
class CumulativeIncidence:
    """Shares of the drives alive at `from_age` that have left by each age, one for each way to leave.

    ages       in days, rising: those at which lives failed, were retired or vanished
    at_risk    lives at risk at each: entry < age <= exit
    failed, retired, vanished  shares; none ever falls
    remaining  the share that has not left; the four add up to 1
    failed_error, retired_error, vanished_error  standard errors of the shares
    from_age   age in days from which they count; None if there was no life
    until_age  age up to which figures show them, as for a survival curve
    """

    ages: NDArray[np.int64] | NDArray[np.float64]
    at_risk: NDArray[np.int64]
    failed: NDArray[np.float64]
    retired: NDArray[np.float64]
    vanished: NDArray[np.float64]
    remaining: NDArray[np.float64]
    failed_error: NDArray[np.float64]
    retired_error: NDArray[np.float64]
    vanished_error: NDArray[np.float64]
    from_age: float | None
    until_age: float | None

    def __post_init__(self) -> None:
        """Let nobody write to the arrays."""
        for name in ("ages", "at_risk", "remaining", *CAUSES, *(f"{cause}_error" for cause in CAUSES)):
            getattr(self, name).flags.writeable = False

    def __str__(self) -> str:
        """One line: the shares at the last age that figures show."""
        shown = 0 if self.until_age is None else int(np.count_nonzero(self.ages <= self.until_age))
        if not shown:
            return "Of the drives, none failed, was retired or vanished"
        at = shown - 1
        alive = f" alive at age {in_days(self.from_age)}" if self.from_age else ""
        told = ", ".join(f"{share(float(getattr(self, cause)[at]))} % {cause}" for cause in CAUSES)
        return f"Of the drives{alive}, by age {in_days(self.ages[at])}: {told}"

    def to_frame(self) -> pd.DataFrame:
        """One row an age: the shares and their standard errors."""
        import pandas as pd  # noqa: PLC0415  (a frame is loaded only where people look at one)

        shares = ("failed", "retired", "vanished", "remaining")
        errors = tuple(f"{cause}_error" for cause in CAUSES)
        columns = {name: getattr(self, name) for name in (*shares, *errors)}
        return pd.DataFrame({"age_days": self.ages, "at_risk": self.at_risk, **columns})


def cumulative_incidence(table: RiskTable, from_age: float | None = None) -> CumulativeIncidence:
    """Estimate the shares that have failed, been retired or vanished by each age (Aalen-Johansen).

    from_age  age in days from which they count; by default where the survival curve starts
    raises    `QuestionError` if nobody is at risk after `from_age`

    A share is that of all drives, in the world as it is: what is retired cannot fail any more. One less the
    survival curve is more, since it tells of a world in which nothing is retired and nothing vanishes.

    The variance is that of the delta method; for a single way to leave it is Greenwood's.
    Source: Aalen & Johansen (1978); variance Marubini & Valsecchi (1995); citations from memory.

    >>> from reliability.risk_table import risk_table
    >>> ends = ["failed", "retired", "failed", "in service"]
    >>> shares = cumulative_incidence(risk_table([0] * 4, [3, 5, 7, 9], ends))
    >>> shares.failed.tolist(), shares.retired.tolist()
    ([0.25, 0.25, 0.5], [0.0, 0.25, 0.25])
    """
    start = start_of(table, from_age)
    left = table.failed + table.retired + table.vanished
    steps = start.after(table) & (left > 0)
    at_risk, left = table.at_risk[steps], left[steps]
    remaining = np.cumprod(1 - left / at_risk, dtype=np.float64)
    before = np.concatenate(([1.0], remaining))[: remaining.size]
    shares, errors = {}, {}
    for cause in CAUSES:
        events = getattr(table, cause)[steps]
        shares[cause] = np.cumsum(before * events / at_risk)
        errors[f"{cause}_error"] = _error(shares[cause], before, events, left, at_risk)
    return CumulativeIncidence(
        ages=table.age[steps],
        at_risk=at_risk,
        remaining=remaining,
        from_age=start.age,
        until_age=start.until,
        **shares,
        **errors,
    )


def _error(
    incidence: NDArray[np.float64],
    before: NDArray[np.float64],
    events: NDArray[np.int64],
    left: NDArray[np.int64],
    at_risk: NDArray[np.int64],
) -> NDArray[np.float64]:
    """Standard error of an incidence F at every age.

    The variance at t is a sum over ages s <= t of (F(t) - F(s))^2 a + c - 2 (F(t) - F(s)) b, where a, b and c
    depend on s alone. Multiplied out, each part is a running sum. Where all leave, a is infinite but F does
    not change any more, so the term with a is 0.
    """
    all_leave = left == at_risk
    a = np.where(all_leave, 0, left / (at_risk * np.where(all_leave, 1, at_risk - left)))
    b = before * events / at_risk**2
    c = before**2 * events * (at_risk - events) / at_risk.astype(np.float64) ** 3
    variance = (
        incidence**2 * np.cumsum(a)
        - 2 * incidence * np.cumsum(incidence * a + b)
        + np.cumsum(incidence**2 * a + c + 2 * incidence * b)
    )
    error: NDArray[np.float64] = np.sqrt(variance.clip(0))  # rounding may leave a little below 0
    return error
