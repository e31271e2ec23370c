"""The rate by age band, with exact limits: the picture of the hazard that assumes no shape."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np

from reliability.curve import in_days
from reliability.errors import QuestionError
from reliability.interval import check_level
from reliability.rate import Rate
from reliability.survival.chi_square import ChiSquareTest

if TYPE_CHECKING:
    from collections.abc import Sequence

    import pandas as pd
    from numpy.typing import NDArray

    from reliability.risk_table import RiskTable

AGE_BANDS = (0, 91, 365, 730, 1095, 1460, 1825, 2555)  # where bands begin; the last has no end


@dataclass(frozen=True, slots=True)
class BandRate:
    """Failures and exposure at ages in (from_days, to_days]; `to_days` is None in the last, which has no end."""

    from_days: float
    to_days: float | None
    rate: Rate

    @property
    def name(self) -> str:
        """The band in words.

        >>> BandRate(0, 91, Rate(0, 0)).name, BandRate(2555, None, Rate(0, 0)).name
        ('0 to 91 days', 'over 2,555 days')
        """
        end = self.to_days
        return f"over {in_days(self.from_days)}" if end is None else f"{self.from_days:,g} to {in_days(end)}"


@dataclass(frozen=True, slots=True)
class Hazard:
    """The rate by age band.

    bands     from young to old; failures and drive-days add up to those of all lives, but for what lies
              below the first band
    one_rate  likelihood-ratio test of the bands against one rate at every age; None if nothing failed, or if
              only one band has exposure. With few failures its p-value is rough.
    level     of the limits in the frame
    """

    bands: tuple[BandRate, ...]
    one_rate: ChiSquareTest | None
    level: float

    def __str__(self) -> str:
        """One line: the rate in each band that has exposure, or else that there is none."""
        seen = [band for band in self.bands if band.rate.drive_days]
        return "; ".join(f"age {band.name}: {band.rate}" for band in seen) or str(Rate(0, 0))

    def to_frame(self) -> pd.DataFrame:
        """One row a band: failures, drive-years, the rate per drive-year and its exact limits."""
        import pandas as pd  # noqa: PLC0415  (a frame is loaded only where people look at one)

        limits = [band.rate.interval(self.level) for band in self.bands]
        return pd.DataFrame(
            {
                "age_from_days": [band.from_days for band in self.bands],
                "age_to_days": pd.array([band.to_days for band in self.bands], dtype="Float64"),
                "failures": [band.rate.failures for band in self.bands],
                "drive_years": [band.rate.drive_years for band in self.bands],
                "rate": pd.array([band.rate.per_year for band in self.bands], dtype="Float64"),
                "low": [each.low for each in limits],
                "high": [each.high for each in limits],  # infinite without exposure
            }
        )


def hazard(table: RiskTable, bands: Sequence[float] = AGE_BANDS, level: float = 0.95) -> Hazard:
    """Rates by age band.

    bands   ages in days at which bands begin, rising, 0 or more; a life is in a band at ages after its begin
            and up to the next, and the last band has no end
    level   of the limits in the frame
    raises  `QuestionError` if `bands` are no such ages

    A failure at an age counts in the band that holds it, with the exposure that led there.

    >>> from reliability.risk_table import risk_table
    >>> by_age = hazard(risk_table([0, 0, 80], [91, 200, 500], ["failed", "failed", "in service"]))
    >>> [(band.from_days, band.rate.failures, band.rate.drive_days) for band in by_age.bands[:3]]
    [(0, 1, 193.0), (91, 1, 383.0), (365, 0, 135.0)]
    """
    check_level(level)
    begins = checked_bands(bands)
    failures = [int(table.failed[table.age <= begin].sum()) for begin in begins]
    counted = np.diff(failures, append=table.failures).tolist()
    days = np.diff(drive_days_to(table, begins), append=table.drive_days).tolist()
    rates = [Rate(*each) for each in zip(counted, days, strict=True)]
    return Hazard(
        bands=tuple(map(BandRate, begins, (*begins[1:], None), rates)),
        one_rate=_one_rate(rates),
        level=level,
    )


def checked_bands(bands: Sequence[float]) -> tuple[float, ...]:
    """Ages at which bands begin, or `QuestionError` if they are none."""
    begins = tuple(bands)
    rise = all(begin < end for begin, end in pairwise((*begins, math.inf)))
    if not (begins and begins[0] >= 0 and rise):  # also not if one is nan
        raise QuestionError(
            f"Bands that begin at {list(begins)} days do not rise from 0 or more; "
            "give each age at which one begins, the youngest first."
        )
    return begins


def drive_days_to(table: RiskTable, ages: Sequence[float]) -> NDArray[np.float64]:
    """Exposure up to each of some ages in days, over all lives: exact, as a life is at risk every day.

    >>> from reliability.risk_table import risk_table
    >>> drive_days_to(risk_table([10, 0], [50, 30], ["failed", "failed"]), [10, 20, 100]).tolist()
    [10.0, 30.0, 70.0]
    """
    within = np.minimum(table.age, np.asarray(ages, dtype=np.float64)[:, np.newaxis])
    return within @ (table.exits - table.entered).astype(np.float64)


def _one_rate(rates: Sequence[Rate]) -> ChiSquareTest | None:
    """Test of one rate against one a band: twice the difference of the Poisson log-likelihoods."""
    exposed = [rate for rate in rates if rate.drive_days]
    together = sum(exposed, Rate(0, 0)).per_year
    if not together or len(exposed) == 1:
        return None
    gain = sum(
        rate.failures * math.log(rate.per_year / together)
        for rate in exposed
        if rate.failures and rate.per_year
    )
    return ChiSquareTest(max(2 * gain, 0.0), len(exposed) - 1)
