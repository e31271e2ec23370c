"""A fitted Weibull life, what it says of the hazard and of ages, or why lives support none."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from typing import TYPE_CHECKING

import numpy as np

from reliability.digits import LIMIT_DIGITS, counted, significant
from reliability.errors import QuestionError
from reliability.lives import ages_in_days

if TYPE_CHECKING:
    import pandas as pd
    from numpy.typing import ArrayLike, NDArray

    from reliability.survival.chi_square import ChiSquareTest

FEW_FAILURES = 5  # fewer show a fit, but hardly more than its order of magnitude
_LASTING = 1_000_000_000  # days, beyond which digits tell nothing
_LARGEST = 700.0  # logarithm of the largest integrated hazard that is told


@dataclass(frozen=True, slots=True)
class Estimate:
    """A value with its limits, and its standard error from the observed information.

    low, high  None where there is no limit on that side
    """

    value: float
    low: float | None
    high: float | None
    standard_error: float

    def __str__(self) -> str:
        """Write the limits in brackets after the value.

        >>> print(Estimate(330.4, 207.1, None, 90.0))
        330 (207, no upper limit)
        >>> print(Estimate(5e12, None, None, 3e13))
        over 1,000,000,000 (no lower limit, no upper limit)
        """
        value = significant(self.value) if self.value <= _LASTING else f"over {_LASTING:,}"
        low = "no lower limit" if self.low is None else significant(self.low, LIMIT_DIGITS)
        high = "no upper limit" if self.high is None else significant(self.high, LIMIT_DIGITS)
        between = ", " if self.low is None or self.high is None else "-"
        return f"{value} ({low}{between}{high})"


@dataclass(frozen=True, slots=True)
class Quantile:
    """The age in days by which a share of the drives fails, counted from age 0.

    extrapolated  whether that age lies beyond the oldest at which 10 or more drives were at risk
    """

    share: float
    age: Estimate
    extrapolated: bool

    @property
    def name(self) -> str:
        """The trade's name for it.

        >>> Quantile(0.1, Estimate(95.0, None, None, 1.0), extrapolated=False).name
        'B10'
        """
        return f"B{100 * self.share:g}"


class NoFit(Enum):
    """Why lives support no Weibull fit."""

    TOO_FEW = "fewer than 2 failures"
    ONE_AGE = "all failures at one age"
    NO_MAXIMUM = "no shape is the likeliest"


@dataclass(frozen=True, slots=True)
class WeibullRefused:
    """No fit, and why."""

    reason: NoFit
    failures: int

    @property
    def sentence(self) -> str:
        """The reason in words, with what to use instead."""
        failed = counted(self.failures, "failure")
        return {
            NoFit.TOO_FEW: f"No Weibull fit: {failed}. A fit takes at least 2 failures at different ages; "
            "use the rate and its limits.",
            NoFit.ONE_AGE: f"No Weibull fit: all {failed} are at one age, which fits any steep rise there. "
            "A fit takes failures at different ages; use the rate and its limits.",
            NoFit.NO_MAXIMUM: f"No Weibull fit: {failed}, so early among the ages seen that the likelihood "
            "rises until the shape is 0. A fit takes drives seen from a younger age on; use the rate by age band.",
        }[self.reason]

    def __str__(self) -> str:
        """The sentence."""
        return self.sentence

    def to_frame(self) -> pd.DataFrame:
        """One row: the reason and the failures."""
        import pandas as pd  # noqa: PLC0415  (a frame is loaded only where people look at one)

        return pd.DataFrame({"refused": [self.reason.value], "failures": [self.failures]})


@dataclass(frozen=True, slots=True)
class Weibull:
    """A fitted Weibull life: survival to age t is exp(-(t / scale)^shape), ages and scale in days.

    quantiles       in the order asked for
    log_likelihood  of the ages in days
    constant_rate   likelihood-ratio test of one constant rate (shape 1) for the same ages
    level           of the limits
    exact           whether ages were taken as given, or failures put at mid-day
    """

    failures: int
    shape: Estimate
    scale: Estimate
    quantiles: tuple[Quantile, ...]
    log_likelihood: float
    constant_rate: ChiSquareTest
    level: float
    exact: bool

    @property
    def direction(self) -> str:
        """How the hazard goes with age; a direction is named only if the limits of the shape exclude 1."""
        if self.shape.high is not None and self.shape.high < 1:
            return "falls with age"
        if self.shape.low is not None and self.shape.low > 1:
            return "rises with age"
        return "no clear trend"

    @property
    def very_uncertain(self) -> bool:
        """Whether the fit comes from so few failures (2 to 4) that it must be marked."""
        return self.failures < FEW_FAILURES

    def integrated_hazard(self, ages: ArrayLike) -> NDArray[np.float64]:
        """Hazard integrated from age 0 to each age in days, 0 or more; at most e^700. Of nan it is nan."""
        days = ages_in_days(ages)
        if (days < 0).any():
            raise QuestionError(f"No drive is {np.nanmin(days):g} days old; give ages of 0 or more.")
        logs = np.log(days / self.scale.value, where=days != 0, out=np.full(days.shape, -np.inf))
        return np.exp(np.minimum(self.shape.value * logs, _LARGEST))

    def survival(self, ages: ArrayLike) -> NDArray[np.float64]:
        """Survival from age 0 to each age in days, 0 or more."""
        return np.exp(-self.integrated_hazard(ages))

    def __str__(self) -> str:
        """One line: shape, what the hazard does, scale and quantiles, each with its limits."""
        uncertain = ", very uncertain" if self.very_uncertain else ""
        shape = str(self.shape).replace("(", f"({100 * self.level:g} % ")
        trend = (
            f"{self.direction} with age"
            if self.direction == "no clear trend"
            else f"the hazard {self.direction}"
        )
        ages = "".join(
            f"; {significant(100 * each.share)} % fail by {_days(each.age)}"
            f"{' (extrapolated)' if each.extrapolated else ''}"
            for each in self.quantiles
        )
        return (
            f"Weibull from {counted(self.failures, 'failure')}{uncertain}: shape {shape}, {trend}; "
            f"scale {_days(self.scale)}{ages}"
        )

    def to_frame(self) -> pd.DataFrame:
        """One row each for shape, scale and the quantiles; a missing limit is none."""
        import pandas as pd  # noqa: PLC0415  (a frame is loaded only where people look at one)

        rows = {"shape": self.shape, "scale_days": self.scale}
        rows |= {f"{each.name.lower()}_days": each.age for each in self.quantiles}
        return pd.DataFrame(
            {
                "quantity": list(rows),
                "value": [each.value for each in rows.values()],
                "low": pd.array([each.low for each in rows.values()], dtype="Float64"),
                "high": pd.array([each.high for each in rows.values()], dtype="Float64"),
                "standard_error": [each.standard_error for each in rows.values()],
            }
        )


def _days(age: Estimate) -> str:
    """Write an age with its limits, the unit after the value."""
    return str(age).replace(" (", " days (", 1)
