"""The hazard ratio from rates: failures and exposure split by state, model and age band, in one Poisson regression."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from reliability.errors import QuestionError
from reliability.interval import check_level
from reliability.rate import Rate
from reliability.regression import poisson_regression
from reliability.signals.hazard_ratio import HazardRatio, Refused, from_logarithm, too_few

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

_GROUPINGS = ("model", "band")


@dataclass(frozen=True, slots=True)
class SplitRate:
    """Failures and exposure of one model in one age band and one state.

    band  the age in days at which it begins
    """

    model: str
    band: int
    exposed: bool
    rate: Rate


def poisson_hazard_ratio(split: Sequence[SplitRate], *, level: float = 0.95) -> HazardRatio | Refused:
    """Fit rates that are a product of the model's, the age band's, and the ratio in the exposed state.

    split  rates in any order; those without exposure count for nothing

    A model with drives in one state only compares nothing, and is left out. A model or age band without a failure
    says nothing of the ratio, since its own rate may be 0; leaving it out changes no other number. Refused are fewer
    than 5 failures in a state, and splits in which the states cannot be told from models or ages.

    >>> young_old = [(0, False, 40, 200), (0, True, 20, 50), (365, False, 20, 200), (365, True, 10, 50)]
    >>> rates = [SplitRate("TARN T18", band, exposed, Rate(x, 365 * t)) for band, exposed, x, t in young_old]
    >>> print(poisson_hazard_ratio(rates))
    2.0 (1.29-3.10)
    """
    check_level(level)
    rows = _comparable(row for row in split if row.rate.drive_days)
    refused = too_few(*(_pooled(rows, exposed=exposed) for exposed in (False, True)))
    if refused is not None:
        return refused
    rows = _telling(rows)
    columns: dict[str, list[float]] = {"exposed": [float(row.exposed) for row in rows]}
    for grouping in _GROUPINGS:
        names = sorted({getattr(row, grouping) for row in rows})
        columns |= {
            f"{grouping} {name}": [float(getattr(row, grouping) == name) for row in rows]
            for name in names[1:]
        }
    failures, exposure = [row.rate.failures for row in rows], [row.rate.drive_years for row in rows]
    try:
        fit = poisson_regression(failures, exposure, columns)
    except QuestionError:
        return Refused(
            "No model and age band in which drives failed has drives in both states, "
            "so that the states cannot be told from models and ages."
        )
    return from_logarithm(fit.effects["exposed"], fit.standard_errors["exposed"], level)


def _comparable(rows: Iterable[SplitRate]) -> list[SplitRate]:
    """Keep the models that have drives in both states."""
    seen = list(rows)
    both = set.intersection(*({row.model for row in seen if row.exposed is state} for state in (False, True)))
    return [row for row in seen if row.model in both]


def _pooled(rows: Sequence[SplitRate], *, exposed: bool) -> Rate:
    return sum((row.rate for row in rows if row.exposed is exposed), Rate(0, 0))


def _telling(rows: list[SplitRate]) -> list[SplitRate]:
    """Leave out models and age bands without a failure; without one, another may be left with none."""
    before = None
    while before != len(rows):
        before = len(rows)
        for grouping in _GROUPINGS:
            failed = {getattr(row, grouping) for row in rows if row.rate.failures}
            rows = [row for row in rows if getattr(row, grouping) in failed]
    return rows
