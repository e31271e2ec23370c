"""What models would show at one common mix of ages."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, TypeAlias

from scipy.special import gammainccinv, gammaincinv

from reliability.digits import counted, percent
from reliability.errors import QuestionError
from reliability.interval import Interval, check_level
from reliability.poisson import garwood_interval

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from reliability.rate import Rate

Band: TypeAlias = tuple[int, int | None]  # over so many days of age, up to so many; None: without end
MOST_DROPPED = 0.2  # of the exposure, in bands that not all models share


@dataclass(frozen=True, slots=True)
class Standardised:
    """A rate per drive-year at the ages of the standard, with its limits."""

    per_year: float
    interval: Interval


def directly_standardised(
    bands: Sequence[Rate], standard: Sequence[float], *, level: float = 0.95
) -> Standardised:
    """Weigh the rates of age bands by a standard mix of ages.

    bands     failures and exposure in each band
    standard  exposure that the standard has in each, in any unit; a band with 0 does not count
    raises    `QuestionError` if a band of the standard has no exposure here: its rate is not known, and not 0

    The limits are gamma quantiles (Fay & Feuer 1997, Statistics in Medicine 16, 791-801). They are on the safe side,
    and equal the exact ones of an unweighted rate if the ages are those of the standard.

    >>> from reliability.rate import Rate
    >>> young, old = Rate(2, 365_000), Rate(9, 365_000)
    >>> found = directly_standardised([young, old], [1, 3])
    >>> f"{found.per_year:.4f} ({found.interval.low:.4f}, {found.interval.high:.4f})"
    '0.0072 (0.0035, 0.0133)'
    """
    check_level(level)
    total = sum(standard)
    if not total > 0:
        raise QuestionError(f"A standard of {total} exposure weighs nothing; give at least one band above 0.")
    pairs = [(band, share / total) for band, share in zip(bands, standard, strict=True) if share]
    if empty := sum(not band.drive_days for band, _ in pairs):
        raise QuestionError(
            f"{empty} of {counted(len(pairs), 'age band')} of the standard have no exposure here, so their rates are "
            "not known; cut the standard to bands that have some."
        )
    weights = [share / band.drive_years for band, share in pairs]
    rate = sum(w * band.failures for w, (band, _) in zip(weights, pairs, strict=True))
    variance = sum(w * w * band.failures for w, (band, _) in zip(weights, pairs, strict=True))
    largest, tail = max(weights), (1 - level) / 2
    if not variance:
        return Standardised(0.0, Interval(0.0, garwood_interval(0, level).high * largest, level))
    low = gammaincinv(rate**2 / variance, tail) * variance / rate
    above, spread = rate + largest, variance + largest**2  # one more failure, where it weighs most
    high = gammainccinv(above**2 / spread, tail) * spread / above
    return Standardised(rate, Interval(float(low), float(high), level))


def common_standard(models: Mapping[str, Mapping[Band, Rate]]) -> dict[Band, float]:
    """The pooled exposure of models, in drive-years, cut to the bands of age in which each of them has some.

    raises  `QuestionError`, naming models that lack much of it, if that drops more than a fifth of the pooled exposure;
            and if there is none at any known age
    """
    bands = sorted({band for by_age in models.values() for band in by_age}, key=lambda band: band[0])
    pooled = {band: sum(_exposure(by_age, band) for by_age in models.values()) for band in bands}
    if not any(pooled.values()):
        raise QuestionError(
            "No rates at one mix of ages: no drive's age is known; load snapshots with power-on hours to know them."
        )
    lacking = {
        band: [model for model, by_age in models.items() if not _exposure(by_age, band)]
        for band in bands
        if pooled[band]
    }
    kept = {band: pooled[band] for band, without in lacking.items() if not without}
    dropped = 1 - sum(kept.values()) / sum(pooled.values())
    if dropped > MOST_DROPPED:
        raise QuestionError(
            f"No rates at one mix of ages: {percent(dropped)} % of the exposure is at ages that not all "
            f"{len(models)} models have, and {percent(MOST_DROPPED)} % is the most to leave out; "
            f"least like the others: {_odd_ones(models, pooled)}. Compare fewer models, of like ages."
        )
    return kept


def _odd_ones(models: Mapping[str, Mapping[Band, Rate]], pooled: Mapping[Band, float]) -> str:
    """Models that lack ages with much of the exposure; all that lack any, if each lacks only a little."""
    total = sum(pooled.values())
    lacks = {
        model: sum(exposure for band, exposure in pooled.items() if not _exposure(by_age, band))
        for model, by_age in models.items()
    }
    much = [model for model, lacked in lacks.items() if lacked > MOST_DROPPED * total]
    return ", ".join(much or [model for model, lacked in lacks.items() if lacked])


def _exposure(by_age: Mapping[Band, Rate], band: Band) -> float:
    return by_age[band].drive_years if band in by_age else 0.0
