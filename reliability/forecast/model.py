"""Failures to come among the drives in service, with limits that allow for all that is not known of them."""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import Enum
from functools import reduce
from operator import add
from typing import TYPE_CHECKING

import numpy as np

from reliability.curve import ENOUGH_AT_RISK
from reliability.digits import counted, significant
from reliability.errors import QuestionError
from reliability.forecast.band_draws import band_draws
from reliability.forecast.binomials import mixed_binomials
from reliability.forecast.constant import constant_counts, constant_limits
from reliability.forecast.counts import NOTHING, Counts
from reliability.forecast.weibull_draws import weibull_draws
from reliability.interval import Interval, check_level
from reliability.rate import Rate
from reliability.survival.band_fit import band_fit
from reliability.survival.weibull import weibull
from reliability.survival.weibull_life import WeibullRefused

if TYPE_CHECKING:
    from collections.abc import Sequence

    import pandas as pd
    from numpy.random import Generator
    from numpy.typing import NDArray

    from reliability.forecast.band_draws import BandDraws
    from reliability.forecast.weibull_draws import WeibullDraws
    from reliability.in_service import InService
    from reliability.risk_table import RiskTable

DRAWS = 1_000
LEAST_FAILURES = 10  # for anything but one rate, unless a Weibull life shows a trend
LEAST_FOR_TREND = 5  # below it draws of a Weibull life scatter too far to be of use
LONGEST = 3_650  # days; what is further off is no forecast
_LEAST_DUE, _MOST_SPREAD = 1e-300, 50.0  # failures due, and a logarithm, that numbers can hold


class Method(Enum):
    """How failures are forecast: the name, and why."""

    NONE = ("none in service", "no drive is in service")
    FEW = ("constant rate", "fewer than 10 failures at a known age, and no clear trend")
    NO_TREND = ("constant rate", "no clear trend with age")
    WEIBULL = ("Weibull", "the rate goes with age as a Weibull life has it")
    BANDS = ("rate by age", "the rate goes with age as no Weibull life has it")
    TOGETHER = ("sum of models", "the counts of the models, added up")

    @property
    def title(self) -> str:
        """The name."""
        return self.value[0]

    @property
    def because(self) -> str:
        """The reason."""
        return self.value[1]

    @property
    def in_words(self) -> str:
        """The name; of a constant rate, which has more than one reason, with that."""
        few = self in (Method.FEW, Method.NO_TREND)
        return f"{self.title}: {self.because}" if few else self.title


@dataclass(frozen=True, slots=True, eq=False)
class Forecast:
    """Failures to come within some days, none of the drives that fail replaced.

    in_service   drives that can fail
    unknown_age  of them, those whose age is not known: they fail at the constant rate
    beyond       of them, those that grow older than any age at which 10 drives were at risk, where age matters
    counts       the distribution of the failures to come
    interval     limits of that count, whole numbers, both included
    spares       fewest that are enough with a chance of `service`
    dispersion   by which failures spread more than Poisson between batches; 1 if that is not known
    """

    days: float
    in_service: int
    unknown_age: int
    beyond: int
    method: Method
    counts: Counts
    interval: Interval
    spares: int
    service: float
    dispersion: float = 1.0

    @property
    def expected(self) -> float:
        """Failures to come on average, over all that the past leaves possible."""
        return self.counts.mean

    def __str__(self) -> str:
        """One line: what is expected, its limits, the spares, and by what method."""
        spares = "spare is" if self.spares == 1 else "spares are"
        return (
            f"{counted(self.in_service, 'drive')} in service, {self.days:g} days: "
            f"{significant(self.expected)} failures expected ({100 * self.interval.level:g} % "
            f"{self.interval.low:,.0f}-{self.interval.high:,.0f}), {self.spares:,} {spares} enough with a "
            f"chance of {100 * self.service:g} %; {self.method.title}"
        )

    def to_frame(self) -> pd.DataFrame:
        """One row: the numbers of the forecast."""
        import pandas as pd  # noqa: PLC0415  (a frame is loaded only where people look at one)

        return pd.DataFrame(
            {
                "days": [self.days],
                "in_service": [self.in_service],
                "expected": [self.expected],
                "low": [int(self.interval.low)],
                "high": [int(self.interval.high)],
                "spares": [self.spares],
                "method": [self.method.title],
            }
        )


def forecast(  # noqa: PLR0913  (those with defaults seldom need another)
    table: RiskTable,
    drives: InService,
    days: float,
    *,
    rng: Generator,
    rate: Rate | None = None,
    service: float = 0.95,
    level: float = 0.95,
    dispersion: float = 1.0,
    draws: int = DRAWS,
) -> Forecast:
    """Forecast the failures of drives in service, given their ages, within the days to come.

    table       lives of such drives so far, of known age
    drives      those in service now, by age
    days        to look ahead, above 0, at most 3,650
    rng         where the draws come from
    rate        failures and exposure of all lives, those of unknown age included; by default those of the table
    service     chance with which the spares are to be enough
    level       of the limits
    dispersion  Pearson index of the failures over batches, 1 or more: the log of what is expected is spread by the
                root of it more
    draws       of the rate by age, where that is used
    raises      `QuestionError` for days, a level, a dispersion or an exposure that cannot be

    One constant rate is taken where the limits of a Weibull shape hold 1, with fewer than 5 failures, or with fewer
    than 10 if no Weibull life fits them; its limits are exact. Otherwise the chances are Weibull, or rates by age
    band where no Weibull life holds, and the count is averaged over draws of them: never is an estimate put in place
    of the truth. No failure so far is no promise: the rate then has the distribution Gamma(1/2, exposure).

    >>> import numpy as np
    >>> from reliability.in_service import in_service
    >>> from reliability.risk_table import risk_table
    >>> seen = risk_table([0] * 50, [30, 200] + [400] * 48, ["failed"] * 2 + ["in service"] * 48)
    >>> found = forecast(seen, in_service([400] * 48), 90, rng=np.random.default_rng(1))
    >>> round(found.expected, 2), found.interval.low, found.interval.high, found.spares, found.method.title
    (0.55, 0.0, 3.0, 2, 'constant rate')
    """
    check_level(service)
    check_level(level)
    rate = Rate(table.failures, table.drive_days) if rate is None else rate
    _check(days, rate, drives, dispersion)
    _check_chance(draws, rng)
    method = _method(table, drives)
    beyond = 0
    if method is Method.NONE:
        counts, interval = NOTHING, NOTHING.limits(level)
    elif method in (Method.FEW, Method.NO_TREND):
        counts = constant_counts(rate, drives.total, days, dispersion)
        interval = constant_limits(rate, drives.total, days, level, dispersion)
    else:
        drawn = (weibull_draws if method is Method.WEIBULL else band_draws)(table, rng, draws)
        counts = mixed_binomials(
            *_chances(drawn, table, drives, days, rng=rng, rate=rate, dispersion=dispersion)
        )
        interval = counts.limits(level)
        beyond = int(drives.drives[drives.age + days > _seen_to(table)].sum())
    spares = counts.enough(service)
    return Forecast(
        days, drives.total, drives.unknown, beyond, method, counts, interval, spares, service, dispersion
    )


def together(forecasts: Sequence[Forecast]) -> Forecast:
    """Forecast of several models together, as if nothing bound them; at least one, of the same days and chances.

    Its limits and its spares are those of the sum, not sums of theirs: seldom do all models have a bad time at once.
    Of one model with drives in service, it is that model's.
    """
    some = [each for each in forecasts if each.in_service]
    if len(some) <= 1:
        return some[0] if some else forecasts[0]
    counts = reduce(add, (each.counts for each in sorted(some, key=lambda each: each.counts.chances.size)))
    first = some[0]
    return Forecast(
        days=first.days,
        in_service=sum(each.in_service for each in some),
        unknown_age=sum(each.unknown_age for each in some),
        beyond=sum(each.beyond for each in some),
        method=Method.TOGETHER,
        counts=counts,
        interval=counts.limits(first.interval.level),
        spares=counts.enough(first.service),
        service=first.service,
    )


def _check_chance(draws: int, rng: np.random.Generator) -> None:
    if not isinstance(rng, np.random.Generator):
        raise QuestionError(
            f"{rng!r} is no source of chance; give a generator, such as np.random.default_rng(1)."
        )
    if not (draws >= 1 and draws % 1 == 0):
        raise QuestionError(f"{draws} draws are none; give a whole number, 1 or more.")


def _check(days: float, rate: Rate, drives: InService, dispersion: float) -> None:
    if not 0 < days <= LONGEST:
        raise QuestionError(
            f"{days} days cannot be forecast; give a number above 0, and at most {LONGEST:,}."
        )
    if not 1 <= dispersion < math.inf:
        raise QuestionError(f"A dispersion of {dispersion} is none; give 1 or more.")
    if drives.total and not rate.drive_days:
        raise QuestionError("Nothing can be forecast without exposure; give at least one drive-day.")


def _method(table: RiskTable, drives: InService) -> Method:
    if not drives.total:
        return Method.NONE
    few = table.failures < LEAST_FAILURES
    fit = weibull(table)
    if isinstance(fit, WeibullRefused):
        return Method.FEW if few else Method.BANDS
    if fit.direction == "no clear trend" or table.failures < LEAST_FOR_TREND:
        return Method.FEW if few else Method.NO_TREND
    return Method.BANDS if band_fit(table, fit).holds is False else Method.WEIBULL


def _chances(  # noqa: PLR0913  (of one computation)
    drawn: WeibullDraws | BandDraws,
    table: RiskTable,
    drives: InService,
    days: float,
    *,
    rng: Generator,
    rate: Rate,
    dispersion: float,
) -> tuple[NDArray[np.float64], NDArray[np.int64]]:
    """Chances to fail, a row a draw, and the drives they belong to: a column an age, the last for unknown age."""
    undated = rng.standard_gamma(max(rate.failures - table.failures, 0), size=drawn.failures.size)
    constant = (drawn.failures + undated) / rate.drive_days * days
    due = np.column_stack((drawn.due(drives.age, days), constant))
    counts = np.append(drives.drives, drives.unknown)
    if dispersion > 1:
        logs = np.log(np.maximum(due @ counts, _LEAST_DUE))
        due *= np.exp(np.minimum((math.sqrt(dispersion) - 1) * (logs - logs.mean()), _MOST_SPREAD))[
            :, np.newaxis
        ]
    return -np.expm1(-due), counts


def _seen_to(table: RiskTable) -> float:
    """The oldest age at which 10 or more were at risk; 0 if never so many were."""
    enough = table.age[table.at_risk >= ENOUGH_AT_RISK]
    return float(enough[-1]) if enough.size else 0.0
