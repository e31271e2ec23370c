"""The likelihood of a Weibull life from counts by age: late entry and censoring cost nothing extra.

With x = age / oldest age, a hazard rate k e^a x^(k-1) and d failures, the logarithm of the likelihood is

    l(k, a) = d log k + d a + (k - 1) L - e^a S(k) - d log(oldest age)

where L is the sum of log x over failures and S(k) the sum of x^k over exits less that over entries. So the lives
enter through S alone. For given k the best a is log(d / S), and what is left, the profile, has one maximum: S is the
integral of k x^(k-1) over all time at risk, and in (log k + a, k) the likelihood is concave.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from reliability.risk_table import RiskTable

HALF_A_DAY = 0.5
_SMALL = 1.0  # shape below which a sum of x^k is taken as that of x^k - 1


@dataclass(frozen=True, slots=True)
class Sums:
    """S(k) and its first two derivatives."""

    value: float
    slope: float
    bend: float


@dataclass(frozen=True, slots=True, eq=False)
class Likelihood:
    """What the likelihood needs of a risk table.

    failures  d
    oldest    age in days by which ages are divided
    log_sum   L, below 0
    log_age   log x at each age that counts, at most 0
    weights   three rows for these ages: exits less entries, and that times log x and its square
    totals    sums of its rows
    at_birth  entries at age 0, whose x^k is 0: so many more exits than entries there are in `weights`
    """

    failures: int
    oldest: float
    log_sum: float
    log_age: NDArray[np.float64]
    weights: NDArray[np.float64]
    totals: NDArray[np.float64]
    at_birth: int

    def sums(self, k: float) -> Sums:
        """S(k) with its derivatives."""
        if k < _SMALL:  # where x^k is close to 1, entries and exits cancel: start from what differs from 1
            value, slope, bend = (self.weights @ np.expm1(k * self.log_age) + self.totals).tolist()
        else:
            value, slope, bend = (self.weights @ np.exp(k * self.log_age)).tolist()
        return Sums(value, slope, bend)

    def values(self, shapes: NDArray[np.float64]) -> NDArray[np.float64]:
        """S at many shapes."""
        near_0 = shapes < _SMALL  # the same two ways as in `sums`
        values = np.empty_like(shapes)
        values[near_0] = (
            np.expm1(np.multiply.outer(shapes[near_0], self.log_age)) @ self.weights[0] + self.totals[0]
        )
        values[~near_0] = np.exp(np.multiply.outer(shapes[~near_0], self.log_age)) @ self.weights[0]
        return values

    def profile(self, k: float, sums: Sums) -> float:
        """Largest logarithm of the likelihood for a shape k."""
        d = self.failures
        return d * math.log(k * d / sums.value) + (k - 1) * self.log_sum - d - d * math.log(self.oldest)

    def score(self, k: float, sums: Sums) -> tuple[float, float]:
        """Slope of the profile in k, and the slope of that."""
        d, ratio = self.failures, sums.slope / sums.value
        return d / k + self.log_sum - d * ratio, -d / k**2 - d * (sums.bend / sums.value - ratio**2)

    @property
    def profile_at_0(self) -> float | None:
        """What the profile tends to as the shape falls to 0; None if it falls below all limits.

        It falls if lives entered at age 0. If all entered later, a hazard in proportion to 1/age is its end.
        """
        if self.at_birth:
            return None
        d = self.failures
        return d * math.log(d / float(self.totals[1])) - self.log_sum - d - d * math.log(self.oldest)

    @property
    def rises_at_0(self) -> bool:
        """Whether the profile rises as the shape leaves 0, so that it has its maximum at a shape above 0."""
        if self.at_birth:
            return True
        _, first, second = self.totals.tolist()
        return bool(self.log_sum / self.failures > second / (2 * first))


def fitted_exits(table: RiskTable) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Ages, and exits less entries at each, as a fit takes them; ages of 0, or without either, are left out.

    A failure known to the day happened within the day that ends at its age: it is put at mid-day, which also
    keeps one on the first day off age 0.
    """
    age = table.age.astype(np.float64)
    if table.exact:
        weights = table.exits - table.entered
    else:
        weights = np.concatenate((table.exits - table.failed - table.entered, table.failed))
        age = np.concatenate((age, age - HALF_A_DAY))
    used = (weights != 0) & (age > 0)
    return age[used], weights[used].astype(np.float64)


def failure_ages(table: RiskTable) -> NDArray[np.float64]:
    """Distinct ages of failures, as a fit takes them."""
    age = table.age[table.failed > 0].astype(np.float64)
    return age if table.exact else age - HALF_A_DAY


def likelihood(table: RiskTable) -> Likelihood:
    """Prepare the likelihood of a table in which lives failed at two ages or more."""
    age, weights = fitted_exits(table)
    oldest = float(age.max())
    log_age = _logarithm(age, oldest)
    failed = _logarithm(failure_ages(table), oldest)
    rows = np.stack((weights, weights * log_age, weights * log_age**2))
    return Likelihood(
        failures=table.failures,
        oldest=oldest,
        log_sum=float(failed @ table.failed[table.failed > 0]),
        log_age=log_age,
        weights=rows,
        totals=rows.sum(axis=1),
        at_birth=int(weights.sum()),
    )


def _logarithm(age: NDArray[np.float64], oldest: float) -> NDArray[np.float64]:
    """Logarithm of age / oldest, exact also near 0, where all of a narrow range of ages lies."""
    near = np.maximum(age, oldest / 2)
    return np.where(age < near, np.log(age) - math.log(oldest), np.log1p((near - oldest) / oldest))
