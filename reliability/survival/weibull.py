"""A Weibull life fitted to lives that entered late and left early, with profile-likelihood limits."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from reliability.curve import ENOUGH_AT_RISK
from reliability.errors import InvalidLife, QuestionError
from reliability.interval import check_level
from reliability.normal_deviate import normal_deviate
from reliability.survival.chi_square import ChiSquareTest
from reliability.survival.likelihood import failure_ages, likelihood
from reliability.survival.profile_limits import quantile_limits, region
from reliability.survival.root import falling_root
from reliability.survival.weibull_life import Estimate, NoFit, Quantile, Weibull, WeibullRefused

if TYPE_CHECKING:
    from collections.abc import Sequence

    from reliability.risk_table import RiskTable
    from reliability.survival.likelihood import Likelihood
    from reliability.survival.profile_limits import Region

_LEAST_FAILURES = 2
_SCALE_SHARE = -math.expm1(-1)  # of the drives, fails by the scale
_LARGEST = 700.0  # logarithm that a number of days can have


def weibull(
    table: RiskTable, level: float = 0.95, quantiles: Sequence[float] = (0.1,)
) -> Weibull | WeibullRefused:
    """Fit a Weibull life by maximum likelihood.

    level      of the limits, strictly between 0 and 1
    quantiles  shares of drives, each strictly between 0 and 1: the ages by which they fail are estimated too
    returns    a `Weibull`, or a `WeibullRefused` that says why these lives support none
    raises     `QuestionError` for a level or a share that is none, `InvalidLife` if ages known to the day are
               no whole days

    A life that enters late counts from its entry on, one that leaves early up to its exit. Failures known to
    the day are put at mid-day, ages given exactly are taken as they are; ties need no care. At least 2
    failures at different ages are needed. If all lives entered late and failures are early among the ages
    seen, the likelihood only rises as the shape falls to 0, and there is no fit either.

    Limits are those of the profile likelihood: they may lie very unevenly about the estimate, and hold at few
    failures, where limits from standard errors do not. Standard errors are from the observed information.

    Source: Lawless (2003), Meeker, Escobar & Pascual (2022); citations from memory.

    >>> from reliability.risk_table import risk_table
    >>> fit = weibull(risk_table([0] * 6, [100, 150, 230, 300, 300, 300], ["failed"] * 3 + ["retired"] * 3))
    >>> fit.very_uncertain, str(fit.shape), fit.direction
    (True, '1.8 (0.495-4.24)', 'no clear trend')
    >>> fit.quantiles[0].name, str(fit.quantiles[0].age)
    ('B10', '100 (6.56-224)')
    >>> print(weibull(risk_table([0, 0], [100, 150], ["retired", "failed"])))
    No Weibull fit: 1 failure. A fit takes at least 2 failures at different ages; use the rate and its limits.
    """
    check_level(level)
    for share in quantiles:
        if not 0 < share < 1:
            raise QuestionError(
                f"{share} is no share of drives whose age at failure could be told; "
                "give one strictly between 0 and 1, such as 0.1 for 10 %."
            )
    if not table.exact and (table.age % 1 != 0).any():
        raise InvalidLife(
            "Ages known to the day are whole days, and some of these are not; "
            "give whole days, or say that the ages are exact."
        )
    refused = _refused(table)
    if refused:
        return refused
    drop = normal_deviate(level) ** 2 / 2
    lives = likelihood(table)
    shape = _fitted_shape(lives)
    if shape is None:
        return WeibullRefused(NoFit.NO_MAXIMUM, table.failures)
    around = region(lives, shape, drop)
    shape_error = 1 / math.sqrt(-lives.score(shape, around.sums)[1])
    at_1 = lives.profile(1.0, lives.sums(1.0))
    enough = table.age[table.at_risk >= ENOUGH_AT_RISK]
    seen_to = float(enough[-1]) if enough.size else 0.0
    return Weibull(
        failures=table.failures,
        shape=Estimate(shape, around.low, around.high, shape_error),
        scale=_age_estimate(around, shape_error, _SCALE_SHARE),
        quantiles=tuple(
            Quantile(share, age, extrapolated=age.value > seen_to)
            for share, age in ((share, _age_estimate(around, shape_error, share)) for share in quantiles)
        ),
        log_likelihood=around.highest,
        constant_rate=ChiSquareTest(max(2 * (around.highest - at_1), 0.0), 1),
        level=level,
        exact=table.exact,
    )


def _refused(table: RiskTable) -> WeibullRefused | None:
    if table.failures < _LEAST_FAILURES:
        return WeibullRefused(NoFit.TOO_FEW, table.failures)
    if failure_ages(table).size < _LEAST_FAILURES:
        return WeibullRefused(NoFit.ONE_AGE, table.failures)
    return None


def _fitted_shape(lives: Likelihood) -> float | None:
    """The shape of largest likelihood; None if there is none above 0, or none that a number can hold."""
    if not lives.rises_at_0:
        return None

    def score(shape: float) -> tuple[float, float]:
        first, second = lives.score(shape, lives.sums(shape))
        return shape * first, shape * first + shape**2 * second

    # if nearly all lives reach the oldest age without failing, S hardly depends on the shape, and this is it
    shape = falling_root(score, -lives.failures / lives.log_sum)
    sums = lives.sums(shape)
    in_reach = abs(math.log(sums.value / lives.failures)) < _LARGEST * shape
    return shape if in_reach and lives.score(shape, sums)[1] < 0 else None


def _age_estimate(around: Region, shape_error: float, share: float) -> Estimate:
    """The age by which a share fails; its standard error is that of its logarithm times itself."""
    lives, shape, sums = around.likelihood, around.best, around.sums
    log_age = math.log(-math.log1p(-share) * sums.value / lives.failures) / shape
    age = lives.oldest * math.exp(min(max(log_age, -_LARGEST), _LARGEST))
    off = (log_age - sums.slope / sums.value) * shape_error
    error = math.sqrt(off**2 + 1 / lives.failures) / shape
    return Estimate(age, *quantile_limits(around, share), age * error)
