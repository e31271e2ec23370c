"""Survival by age: a step at every failure, its limits, where the curve starts and how far it can be shown."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, TypeAlias

import numpy as np

from reliability.digits import counted, significant

if TYPE_CHECKING:
    import pandas as pd
    from numpy.typing import NDArray

    Masked: TypeAlias = np.ma.MaskedArray[Any, np.dtype[np.float64]]

ENOUGH_AT_RISK = 10  # lives at risk that keep one failure from ruining a curve
FEW_AT_RISK = 2  # what has to do if there never are so many

_ENOUGH_DIGITS = 12  # of an age, exact ones included


@dataclass(frozen=True, slots=True, eq=False)
class Curve:
    """Survival after each age at which lives failed; the arrays have one length and cannot be written to.

    ages            in days, rising, all above `from_age`
    at_risk         lives at risk at each: entry < age <= exit
    failures        lives that failed at it, 1 or more
    survival        share of lives that survive it, of those alive at `from_age`, if nothing but failure
                    ended lives; it never rises
    standard_error  of the survival
    low, high       its limits; these three are masked, so `tolist` says None, once the survival is 0
    from_age        age in days from which the curve tells; None if there was no life
    until_age       age up to which figures show it: from there on fewer than `least_at_risk` are at risk
    least_at_risk   lives at risk at every age between the two
    level           of the limits
    unfailed_high   if nothing failed: share that fails by `until_age` at most, at the level, one-sided;
                    else None

    Without a failure there is no step: survival stays 1.
    """

    ages: NDArray[np.int64] | NDArray[np.float64]
    at_risk: NDArray[np.int64]
    failures: NDArray[np.int64]
    survival: NDArray[np.float64]
    standard_error: Masked
    low: Masked
    high: Masked
    from_age: float | None
    until_age: float | None
    least_at_risk: int
    level: float
    unfailed_high: float | None

    def __post_init__(self) -> None:
        """Let nobody write to the arrays."""
        for name in ("ages", "at_risk", "failures", "survival", "standard_error", "low", "high"):
            getattr(self, name).flags.writeable = False

    @property
    def shown(self) -> int:
        """How many of the steps a figure or report shows: those up to `until_age`."""
        return int(np.count_nonzero(self.ages <= self.until_age)) if self.until_age is not None else 0

    @property
    def label(self) -> str:
        """What the curve is the survival of.

        A curve that starts late says nothing of younger ages, and must say so.
        """
        return f"Survival given alive at age {in_days(self.from_age)}" if self.from_age else "Survival"

    @property
    def notes(self) -> tuple[str, ...]:
        """What a reader has to know about this curve, each a sentence; a plain curve has none.

        That it starts late, that few were at risk, that nothing failed.
        """
        if self.from_age is None or self.until_age is None:
            return ("No life of known age: there is no survival to tell.",)
        notes = []
        if self.from_age:
            notes.append(
                f"The curve starts at age {in_days(self.from_age)} and is given alive at it: "
                "drives came under observation later than at age 0."
            )
        if self.least_at_risk < ENOUGH_AT_RISK:
            few = "2 were" if self.least_at_risk == FEW_AT_RISK else "1 was"
            notes.append(
                f"Never were {ENOUGH_AT_RISK} drives at risk when one failed, "
                f"so the curve is drawn where at least {few}: read it with care."
            )
        if self.unfailed_high is not None:
            notes.append(
                f"No failure: at most {significant(100 * self.unfailed_high, 3)} % fail by age "
                f"{in_days(self.until_age)} (one-sided {100 * self.level:g} %), "
                "if the rate is the same at all these ages."
            )
        return tuple(notes)

    def __str__(self) -> str:
        """One line: the survival at the last step that is shown, with its limits."""
        if not self.shown:
            return " ".join(self.notes)
        last = self.shown - 1
        failures = counted(int(self.failures.sum()), "failure")
        low, high = self.low.tolist()[last], self.high.tolist()[last]
        limits = "" if low is None else f" ({100 * self.level:g} % {share(low, 3)}-{share(high, 3)} %)"
        return (
            f"{self.label}: {share(float(self.survival[last]))} %{limits} at age {in_days(self.ages[last])}, "
            f"{int(self.at_risk[last]):,} at risk; {failures}"
        )

    def to_frame(self) -> pd.DataFrame:
        """One row a step; where the survival is 0 its standard error and limits are missing."""
        import pandas as pd  # noqa: PLC0415  (a frame is loaded only where people look at one)

        return pd.DataFrame(
            {
                "age_days": self.ages,
                "at_risk": self.at_risk,
                "failures": self.failures,
                "survival": self.survival,
                "standard_error": pd.array(self.standard_error.tolist(), dtype="Float64"),
                "low": pd.array(self.low.tolist(), dtype="Float64"),
                "high": pd.array(self.high.tolist(), dtype="Float64"),
            }
        )


def in_days(age: float | None) -> str:
    """Write an age with its unit.

    >>> in_days(1), in_days(816), in_days(99.5)
    ('1 day', '816 days', '99.5 days')
    """
    return f"{age:,.{_ENOUGH_DIGITS}g} day{'' if age == 1 else 's'}"


def share(survival: float, digits: int = 2) -> str:
    """Write a share in percent, without the sign, so that what is missing from 1 keeps its digits.

    >>> share(0.9987), share(0.9987, 3), share(0.448), share(0.001), share(1), share(0)
    ('99.87', '99.870', '45', '0.10', '100', '0')
    """
    missing = min(survival, 1 - survival)
    decimals = digits - 1 - math.floor(math.log10(100 * missing)) if missing else 0
    return f"{100 * survival:.{max(decimals, 0)}f}"
