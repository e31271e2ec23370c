"""What a maker states for a model: the rate at which it should fail, and the ratings to use it within."""

from __future__ import annotations

import math
from dataclasses import dataclass, fields

from reliability import units
from reliability.datasheet.rules import faults_of
from reliability.digits import LIMIT_DIGITS, percent
from reliability.errors import DatasheetError

AGREE_WITHIN = 0.03  # of the rate: 0.35 % beside 2,500,000 h is one statement, rounded


@dataclass(frozen=True, slots=True)
class Datasheet:
    """What is stated for one model: at least one of `mtbf_hours` and `afr_percent`.

    model                       its name, in any spelling that folds to the fleet's
    mtbf_hours                  mean time between failures, hours
    afr_percent                 annualised failure rate, failures per 100 drive-years
    afr_is                      "rate", or "probability" if it is the share of drives that fails within a year
    capacity_tb                 10^12 bytes
    rated_workload_tb_per_year  read and written together, 10^12 bytes a year
    warranty_years              years
    operating_temperature_c     lowest and highest, degrees Celsius
    unrecoverable_error_rate    errors a bit read, such as 1e-15
    sustained_mb_per_s          10^6 bytes a second
    source                      where this is stated

    Raises `DatasheetError`, which says all that is wrong at once.

    >>> Datasheet("TARN T18", mtbf_hours=2_500_000).stated_rate
    0.003504
    """

    model: str
    mtbf_hours: float | None = None
    afr_percent: float | None = None
    afr_is: str = "rate"
    capacity_tb: float | None = None
    rated_workload_tb_per_year: float | None = None
    warranty_years: float | None = None
    operating_temperature_c: tuple[float, float] | None = None
    unrecoverable_error_rate: float | None = None
    sustained_mb_per_s: float | None = None
    source: str | None = None

    def __post_init__(self) -> None:
        """Hold the rules of each key."""
        given = {field.name: getattr(self, field.name) for field in fields(self)}
        faults = faults_of({name: value for name, value in given.items() if value is not None})
        if faults:
            raise DatasheetError(f"The datasheet of {self.model!r} cannot be used: {'; '.join(faults)}.")
        if self.operating_temperature_c is not None:  # a list, where it comes from a file
            object.__setattr__(self, "operating_temperature_c", tuple(self.operating_temperature_c))

    @property
    def stated_rate(self) -> float:
        """Failures per drive-year: the AFR if one is stated, else from the MTBF over 8760 hours a year.

        An AFR that is the probability p to fail within a year amounts to the rate -ln(1 - p).

        >>> round(Datasheet("TARN T18", afr_percent=4.0, afr_is="probability").stated_rate, 4)
        0.0408
        """
        if self.afr_percent is None:
            assert self.mtbf_hours is not None  # noqa: S101  (the rules hold one of them; this tells mypy)
            return units.rate_from_mtbf(self.mtbf_hours)
        afr = self.afr_percent / 100
        return -math.log1p(-afr) if self.afr_is == "probability" else afr

    @property
    def basis(self) -> str:
        """Which figure the stated rate was taken from, and how it was read.

        >>> Datasheet("TARN T18", mtbf_hours=2_500_000).basis
        'stated MTBF of 2,500,000 h, with 8,760 h to a year'
        >>> Datasheet("TARN T18", afr_percent=0.35).basis
        'stated AFR of 0.35 %, read as a rate'
        """
        if self.afr_percent is None:
            return f"stated MTBF of {self.mtbf_hours:,.0f} h, with {units.HOURS_PER_YEAR:,} h to a year"
        kind = "a rate" if self.afr_is == "rate" else "the probability to fail within a year"
        return f"stated AFR of {self.afr_percent:g} %, read as {kind}"

    @property
    def note(self) -> str | None:
        """A warning if MTBF and AFR are both stated and differ by more than 3 % of the rate; else None.

        >>> print(Datasheet("TARN T18", mtbf_hours=2_000_000, afr_percent=0.35).note)
        TARN T18: its MTBF of 2,000,000 h is 0.438 % a year, its AFR is 0.350 % a year; the AFR is used.
        """
        if self.mtbf_hours is None or self.afr_percent is None:
            return None
        by_mtbf, by_afr = units.rate_from_mtbf(self.mtbf_hours), self.stated_rate
        if abs(by_mtbf - by_afr) <= AGREE_WITHIN * by_afr:
            return None
        mtbf, afr = percent(by_mtbf, LIMIT_DIGITS), percent(by_afr, LIMIT_DIGITS)
        return (
            f"{self.model}: its MTBF of {self.mtbf_hours:,.0f} h is {mtbf} % a year, "
            f"its AFR is {afr} % a year; the AFR is used."
        )
