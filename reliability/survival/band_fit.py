"""Whether a Weibull fit holds age band by age band."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from reliability.survival.chi_square import ChiSquareTest
from reliability.survival.hazard import AGE_BANDS, checked_bands
from reliability.survival.likelihood import failure_ages, fitted_exits

if TYPE_CHECKING:
    from collections.abc import Sequence

    import pandas as pd

    from reliability.risk_table import RiskTable
    from reliability.survival.weibull_life import Weibull

LEAST_EXPECTED = 3.0  # failures; below that chi-square is no judge
DOUBTFUL = 0.05  # p-value below which the fit does not hold
_FITTED = 2  # shape and scale


@dataclass(frozen=True, slots=True)
class FittedBand:
    """Failures at ages in (from_days, to_days], and those the fit expects; `to_days` is None without an end."""

    from_days: float
    to_days: float | None
    failures: int
    expected: float


@dataclass(frozen=True, slots=True)
class BandFit:
    """Failures seen and expected by age band, bands joined until each expects 3 or more if all do.

    test  chi-square over the bands, with 2 degrees of freedom less than bands; None if there are too few
    """

    bands: tuple[FittedBand, ...]
    test: ChiSquareTest | None

    @property
    def holds(self) -> bool | None:
        """Whether the fit holds; None if too few failures are expected to judge it."""
        return None if self.test is None else self.test.p_value >= DOUBTFUL

    def __str__(self) -> str:
        """One line: whether the fit holds, and by what."""
        if self.test is None:
            return "Fit by age band not judged: it takes 3 bands in which 3 or more failures are expected"
        verdict = "holds" if self.holds else "does not hold"
        return f"Fit {verdict} by age band: {self.test} over {len(self.bands)} bands"

    def to_frame(self) -> pd.DataFrame:
        """One row a band: failures and those expected."""
        import pandas as pd  # noqa: PLC0415  (a frame is loaded only where people look at one)

        return pd.DataFrame(
            {
                "age_from_days": [band.from_days for band in self.bands],
                "age_to_days": pd.array([band.to_days for band in self.bands], dtype="Float64"),
                "failures": [band.failures for band in self.bands],
                "expected": [band.expected for band in self.bands],
            }
        )


def band_fit(table: RiskTable, fit: Weibull, bands: Sequence[float] = AGE_BANDS) -> BandFit:
    """Compare failures by age band with those that a fit to the same lives expects.

    bands   ages in days at which bands begin, as for `hazard`
    raises  `QuestionError` if `bands` are no such ages

    Expected in a band is the fitted hazard, integrated over all time at risk in it. A band joins those that
    follow until 3 or more are expected; what is left at the end joins the last.
    """
    begins = checked_bands(bands)
    ages, counts = failure_ages(table), table.failed[table.failed > 0]
    failed = np.diff([int(counts[ages <= begin].sum()) for begin in begins], append=table.failures).tolist()
    single = map(FittedBand, begins, (*begins[1:], None), failed, _expected(table, fit, begins))
    joined: list[FittedBand] = []
    for band in single:
        if joined and joined[-1].expected < LEAST_EXPECTED:
            joined.append(_joined(joined.pop(), band))
        else:
            joined.append(band)
    if len(joined) > 1 and joined[-1].expected < LEAST_EXPECTED:
        last = joined.pop()
        joined.append(_joined(joined.pop(), last))
    degrees = len(joined) - _FITTED
    statistic = sum((band.failures - band.expected) ** 2 / band.expected for band in joined)
    return BandFit(tuple(joined), ChiSquareTest(statistic, degrees) if degrees > 0 else None)


def _joined(band: FittedBand, older: FittedBand) -> FittedBand:
    """Two bands as one."""
    return FittedBand(
        band.from_days, older.to_days, band.failures + older.failures, band.expected + older.expected
    )


def _expected(table: RiskTable, fit: Weibull, begins: Sequence[float]) -> list[float]:
    """Integrated hazard over the time at risk from each age to the next, and after the last."""
    ages, weights = fitted_exits(table)
    ends = np.array([*begins, math.inf])
    up_to = fit.integrated_hazard(np.minimum(ages, ends[:, np.newaxis])) @ weights
    expected: list[float] = np.diff(up_to).clip(0).tolist()
    return expected
