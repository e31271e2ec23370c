"""Rates by several things at once: Poisson regression with exposure."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from reliability.digits import significant
from reliability.errors import QuestionError

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

_STEPS = 50
_WIDEST = 20.0  # logarithm of the largest ratio of rates in one fit; on the way to infinity they pass it
_SETTLED = 1e-12  # change of the deviance, as part of it, at which the fit has come to rest


@dataclass(frozen=True, slots=True)
class PoissonRegression:
    """Logarithms of rates as sums of effects; `exp` of an effect is a rate ratio.

    effects          of each column; "rate" is the logarithm of the rate where all columns are 0
    standard_errors  of the same, if failures were Poisson
    deviance         twice the log-likelihood that a rate of its own for each row would add
    degrees          rows less effects
    pearson          squared distance from the expected failures, over them, summed over the rows
    """

    effects: Mapping[str, float]
    standard_errors: Mapping[str, float]
    deviance: float
    degrees: int
    pearson: float

    @property
    def dispersion(self) -> float | None:
        """Pearson's statistic a degree of freedom, about 1 for Poisson failures; None if there is no degree."""
        return self.pearson / self.degrees if self.degrees else None

    def scaled_error(self, column: str) -> float:
        """Standard error widened by the dispersion if that is above 1 (quasi-Poisson)."""
        return self.standard_errors[column] * math.sqrt(max(1.0, self.dispersion or 1.0))

    def __str__(self) -> str:
        """One line: each rate ratio."""
        ratios = [f"{name} {significant(math.exp(x))}" for name, x in self.effects.items() if name != "rate"]
        return f"Rate ratios: {', '.join(ratios)}" if ratios else "One rate"


def poisson_regression(
    failures: Sequence[float], exposure: Sequence[float], columns: Mapping[str, Sequence[float]]
) -> PoissonRegression:
    """Fit rates that are multiplied by something for each unit of each column (log-linear, maximum likelihood).

    failures  of each row, a count
    exposure  of each row, above 0, in the unit that the rate shall have
    columns   by name: a number for each row; a group is a column of 0 and 1, and one group has none
    raises    `QuestionError` for a row without exposure, no failure at all, columns that repeat each other, and
              columns for which no finite effect is best, as for a group without a failure

    Source: McCullagh & Nelder (1989), Generalized linear models.

    >>> found = poisson_regression([15, 41], [19_017, 28_010], {"exposed": [0, 1]})
    >>> print(found)
    Rate ratios: exposed 1.9
    """
    seen, offset = np.array(failures, dtype=float), np.array(exposure, dtype=float)
    if without := [row for row, value in enumerate(offset.tolist(), 1) if not 0 < value < math.inf]:
        raise QuestionError(
            f"Row {without[0]} has an exposure of {exposure[without[0] - 1]}; leave out rows without exposure: "
            "nothing could fail in them."
        )
    if not seen.any():
        raise QuestionError("No row has a failure, so no rate can be fitted; quote an upper limit instead.")
    names = ["rate", *columns]
    design = np.column_stack(
        [np.ones(len(seen)), *(np.array(column, dtype=float) for column in columns.values())]
    )
    if np.linalg.matrix_rank(design) < len(names):
        raise QuestionError(
            f"The columns {', '.join(columns)} repeat each other over {len(seen)} rows, so their effects cannot "
            "be told apart; leave one out (of groups that cover all rows, one has no column)."
        )
    effects, expected = _fit(seen, offset, design)
    errors = np.sqrt(np.diag(np.linalg.inv(design.T @ (expected[:, None] * design))))
    return PoissonRegression(
        effects=dict(zip(names, effects.tolist(), strict=True)),
        standard_errors=dict(zip(names, errors.tolist(), strict=True)),
        deviance=_deviance(seen, expected),
        degrees=len(seen) - len(names),
        pearson=float(((seen - expected) ** 2 / expected).sum()),
    )


def _fit(failures: Floats, exposure: Floats, design: Floats) -> tuple[Floats, Floats]:
    """Effects and expected failures, by weighted least squares on the logarithm until the deviance rests."""
    expected = np.maximum(failures, 0.5)
    last = math.inf
    for _ in range(_STEPS):
        wanted = np.log(expected / exposure) + (failures - expected) / expected
        root = np.sqrt(expected)
        effects = np.asarray(np.linalg.lstsq(root[:, None] * design, root * wanted)[0], dtype=np.float64)
        expected = exposure * np.exp(design @ effects)
        deviance = _deviance(failures, expected)
        if abs(last - deviance) <= _SETTLED * (abs(deviance) + 1):
            break
        last = deviance
    log_rates = design @ effects
    if not np.ptp(log_rates) < _WIDEST:  # also not nan
        raise QuestionError(
            "No finite effect is best for these columns, as when a group has no failure; "
            "leave that column or its rows out."
        )
    return effects, expected


def _deviance(failures: Floats, expected: Floats) -> float:
    some = failures > 0
    return 2 * float(
        (failures[some] * np.log(failures[some] / expected[some])).sum() - (failures - expected).sum()
    )
