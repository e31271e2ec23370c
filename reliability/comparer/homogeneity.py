"""Whether groups fail at one rate: Pearson's statistic against chance, by exact simulation."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from reliability.digits import counted, significant
from reliability.errors import QuestionError

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from reliability.rate import Rate

DRAWS = 9_999  # the p-value is known to about 0.002 at 0.05
_AT_ONCE = 1_000  # draws held in memory together
_ROUNDING = 1e-9  # a drawn statistic so little below the observed one, as part of it, is equal to it


@dataclass(frozen=True, slots=True)
class Homogeneity:
    """How far the failures of groups lie from what one common rate would give them.

    statistic  Pearson's: squared distance from the expected failures, over them, summed over the groups
    degrees    groups less one
    p_value    share of draws at least as far apart; None if nothing failed, for then nothing can lie apart
    """

    statistic: float
    degrees: int
    p_value: float | None

    @property
    def index(self) -> float:
        """Statistic a degree of freedom: about 1 under one common rate, more if the groups differ."""
        return self.statistic / self.degrees

    def __str__(self) -> str:
        """Write the index; the p-value belongs into a table."""
        return f"Pearson index {significant(self.index)} over {self.degrees + 1} groups"


def homogeneity(groups: Sequence[Rate], *, rng: np.random.Generator, draws: int = DRAWS) -> Homogeneity:
    """Test whether groups fail at one common rate, given how many failed in all.

    groups  two or more, each with exposure
    rng     where chance comes from
    draws   fleets drawn
    raises  `QuestionError` for fewer groups, or one without exposure

    Given the total, failures fall into the groups in proportion to their exposure: a multinomial draw, exact for
    any count. The p-value counts the observed fleet among the draws, so it is never 0.

    >>> from reliability.rate import Rate
    >>> print(homogeneity([Rate(10, 365_000), Rate(30, 365_000)], rng=np.random.default_rng(1)))
    Pearson index 10 over 2 groups
    """
    observed = pearson(groups)
    total = sum(group.failures for group in groups)
    if not total:
        return Homogeneity(0.0, len(groups) - 1, None)
    shares = _shares(groups)
    reached = 0
    for begin in range(0, draws, _AT_ONCE):
        drawn = rng.multinomial(total, shares, size=min(_AT_ONCE, draws - begin))
        reached += int(np.sum(_statistic(drawn, shares, total) >= observed * (1 - _ROUNDING)))
    return Homogeneity(observed, len(groups) - 1, (1 + reached) / (1 + draws))


def pearson(groups: Sequence[Rate]) -> float:
    """Pearson's statistic of groups as in `homogeneity`; 0 if nothing failed."""
    if len(groups) < 2 or not all(group.drive_days for group in groups):  # noqa: PLR2004  (one cannot differ)
        raise QuestionError(
            f"{counted(len(groups), 'group')} cannot be told apart; give two or more, each with at least one drive-day."
        )
    failures = np.array([group.failures for group in groups])
    total = int(failures.sum())
    return float(_statistic(failures, _shares(groups), total)) if total else 0.0


def _shares(groups: Sequence[Rate]) -> NDArray[np.float64]:
    exposure = np.array([group.drive_days for group in groups], dtype=float)
    shares: NDArray[np.float64] = exposure / exposure.sum()
    return shares


def pearson_index(groups: Sequence[Rate]) -> float:
    """Pearson's statistic a degree of freedom, without its test: 0 if nothing failed; arguments as above.

    >>> from reliability.rate import Rate
    >>> pearson_index([Rate(10, 365_000), Rate(30, 365_000)])
    10.0
    """
    failures = np.array([group.failures for group in groups])
    days = np.array([group.drive_days for group in groups], dtype=float)
    total = int(failures.sum())
    return float(_statistic(failures, days / days.sum(), total)) / (len(groups) - 1) if total else 0.0


def _statistic(failures: NDArray[np.int64], shares: NDArray[np.float64], total: int) -> NDArray[np.float64]:
    expected = total * shares
    distances: NDArray[np.float64] = ((failures - expected) ** 2 / expected).sum(axis=-1)
    return distances
