"""Whether groups of lives fail alike at every age."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from reliability.digits import counted
from reliability.errors import QuestionError
from reliability.survival.chi_square import ChiSquareTest

if TYPE_CHECKING:
    from collections.abc import Sequence

    import pandas as pd
    from numpy.typing import NDArray

    from reliability.risk_table import RiskTable

_ROUNDING = 1e-9  # below this part of the variance of all failures, one of a group is rounding


@dataclass(frozen=True, slots=True)
class LogRank:
    """Failures seen in each group, and those expected if all groups failed alike at every age.

    observed  failures in each group at ages at which any group failed
    expected  failures in each; as many in all
    test      None if the groups were never at risk at one age together, so that there is nothing to compare
    """

    observed: tuple[int, ...]
    expected: tuple[float, ...]
    test: ChiSquareTest | None

    def __str__(self) -> str:
        """One line: failures seen and expected in each group, and the test statistic."""
        if self.test is None:
            return "Log-rank: no age at which one failed and others were at risk, so nothing to compare"
        groups = ", ".join(
            f"{counted(seen, 'failure')} ({expected:.1f} expected)"
            for seen, expected in zip(self.observed, self.expected, strict=True)
        )
        return f"Log-rank over {len(self.observed)} groups: {groups}; {self.test}"

    def to_frame(self) -> pd.DataFrame:
        """One row a group: failures seen and expected."""
        import pandas as pd  # noqa: PLC0415  (a frame is loaded only where people look at one)

        return pd.DataFrame({"observed": self.observed, "expected": self.expected})


def logrank(tables: Sequence[RiskTable]) -> LogRank:
    """Test whether groups of lives fail alike at every age (log-rank, with late entry).

    tables  two or more risk tables, one a group
    raises  `QuestionError` for fewer than two

    At each failure age the failures are shared out by the lives at risk, entry < age <= exit; the variance is
    that of drawing them without replacement (hypergeometric). Degrees of freedom: groups that were at risk
    together with others, less one for each set of groups that meet. Ages given exactly and ages known to the
    day are compared as they stand. Where hazards cross, the test sees little: look at the rates by band too.

    Source: Mantel (1966), Peto & Peto (1972); citations from memory.

    >>> from reliability.risk_table import risk_table
    >>> early = risk_table([0] * 5, [1, 2, 3, 4, 5], ["failed"] * 5)
    >>> late = risk_table([0] * 5, [6, 7, 8, 9, 10], ["failed"] * 5)
    >>> found = logrank([early, late])
    >>> found.observed, [round(failures, 2) for failures in found.expected]
    ((5, 5), [1.77, 8.23])
    >>> print(found.test)
    chi-square 9.70 on 1 degree of freedom
    """
    if len(tables) < 2:  # noqa: PLR2004  (two are the least that can differ)
        raise QuestionError(
            f"A log-rank test compares groups, and {len(tables)} cannot differ; give two risk tables or more."
        )
    ages = np.unique(np.concatenate([table.age[table.failed > 0] for table in tables]))
    at_risk = np.array([_at_risk(table, ages) for table in tables])
    failed = np.array([_failed(table, ages) for table in tables])
    n, d = at_risk.sum(axis=0), failed.sum(axis=0)
    shares = at_risk / n
    expected = shares @ d
    spread = d * (n - d) / np.maximum(n - 1, 1)  # a lone life at risk has no spread
    variance = np.diag(shares @ spread) - (shares * spread) @ shares.T
    excess = failed.sum(axis=1) - expected
    return LogRank(
        observed=tuple(failed.sum(axis=1).tolist()),
        expected=tuple(expected.tolist()),
        test=_test(excess, variance, _ROUNDING * float(spread.sum())),
    )


def _at_risk(table: RiskTable, ages: NDArray[np.generic]) -> NDArray[np.int64]:
    """Lives at risk at any ages, not only those of the table."""
    gained = np.concatenate(([0], np.cumsum(table.entered - table.exits)))
    return gained[np.searchsorted(table.age, ages)]


def _failed(table: RiskTable, ages: NDArray[np.generic]) -> NDArray[np.int64]:
    counts = np.zeros(ages.size, dtype=np.int64)
    counts[np.searchsorted(ages, table.age[table.failed > 0])] = table.failed[table.failed > 0]
    return counts


def _test(
    excess: NDArray[np.float64], variance: NDArray[np.float64], rounding: float
) -> ChiSquareTest | None:
    """The quadratic form of the excess in the inverse of its variance, where it can vary at all."""
    values, vectors = np.linalg.eigh(variance)
    real = values > rounding
    if not real.any():
        return None
    projected = vectors[:, real].T @ excess
    return ChiSquareTest(float((projected**2 / values[real]).sum()), int(real.sum()))
