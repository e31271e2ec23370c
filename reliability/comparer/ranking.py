"""Models side by side: raw, at one mix of ages, shrunk; every two of them against each other."""

from __future__ import annotations

from dataclasses import dataclass, field
from itertools import combinations
from typing import TYPE_CHECKING

from reliability.comparer.holm import holm
from reliability.comparer.homogeneity import Homogeneity, homogeneity
from reliability.comparer.ratios import Ratio, exact_ratio, ratio_by_age
from reliability.comparer.shrinkage import Shrunk, shrink
from reliability.comparer.standardised import Band, Standardised, common_standard, directly_standardised
from reliability.digits import counted
from reliability.errors import QuestionError

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    import numpy as np

    from reliability.rate import Rate


@dataclass(frozen=True, slots=True)
class Model:
    """What was counted of a model, in all and by bands of age; drives of unknown age are in no band."""

    name: str
    rate: Rate
    by_age: Mapping[Band, Rate] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Ranked:
    """One model: its raw rate, the same at the common ages, and shrunk; None where that was refused."""

    model: Model
    standardised: Standardised | None
    shrunk: Shrunk | None


@dataclass(frozen=True, slots=True)
class Pair:
    """Two models, the one that fails more often first.

    p_holm  the p-value, allowing for all pairs of which there is one; None if there is nothing to compare
    pairs   how many these are
    """

    model: str
    other: str
    ratio: Ratio
    p_holm: float | None
    pairs: int

    @property
    def told_apart(self) -> bool:
        """Whether the two differ by more than chance among so many pairs."""
        return self.p_holm is not None and self.p_holm < 1 - self.ratio.interval.level

    @property
    def sentence(self) -> str:
        """What the two data sets say about each other."""
        words = self.ratio.in_words(self.model, self.other)
        if self.ratio.value is None:
            return words
        if self.ratio.excludes_one and not self.told_apart:
            words = (
                f"{words[:-1]} on their own figures, but not after allowing for {self.pairs} pairs compared."
            )
        return words if self.ratio.by_age else f"{words} (ages not allowed for)"


@dataclass(frozen=True, slots=True)
class Ranking:
    """Models in the order of their shrunk rates, the highest first; without these, of their names.

    refused  what could not be said, in sentences; empty if all could
    overall  whether all models fail at one rate; None if fewer than two can be compared
    """

    rows: tuple[Ranked, ...]
    pairs: tuple[Pair, ...]
    refused: tuple[str, ...]
    overall: Homogeneity | None
    level: float

    @property
    def together(self) -> tuple[tuple[int, int], ...]:
        """First and last row of each longest run of rows in which no two models can be told apart.

        Runs may overlap: that the first is like the second and the second like the third does not make the first
        like the third. A single row is no run.
        """
        apart = {frozenset((pair.model, pair.other)) for pair in self.pairs if pair.told_apart}
        names = [row.model.name for row in self.rows]
        runs: list[tuple[int, int]] = []
        for first in range(len(names)):
            last = first
            while last + 1 < len(names) and all(
                frozenset((names[last + 1], name)) not in apart for name in names[first : last + 1]
            ):
                last += 1
            if last > first and (not runs or last > runs[-1][1]):
                runs.append((first, last))
        return tuple(runs)

    @property
    def sentence(self) -> str:
        """What the models together show."""
        apart = sum(pair.told_apart for pair in self.pairs)
        tested = sum(pair.p_holm is not None for pair in self.pairs)
        differ = (
            self.overall is not None
            and self.overall.p_value is not None
            and self.overall.p_value < 1 - self.level
        )
        if not tested:
            return "Nothing to compare: it takes two models with exposure, and a failure."
        if not differ and not apart:
            return "Nothing tells these models apart: chance alone could have made every difference and the order."
        together = "do not all fail at one rate" if differ else "may all fail at one rate"
        return (
            f"Taken together these models {together}; {apart} of {counted(tested, 'pair')} can be told apart."
        )


def rank(models: Sequence[Model], *, rng: np.random.Generator, level: float = 0.95) -> Ranking:
    """Set models side by side.

    models  each with its own name; those without exposure are left out
    rng     where chance comes from
    level   of all limits

    Nothing is raised: what cannot be said of these models is a sentence in `refused`.

    >>> import numpy as np
    >>> from reliability.rate import Rate
    >>> fleet = [Model("Dorn 4", Rate(2, 365_000)), Model("Dorn 6", Rate(21, 365_000))]
    >>> found = rank(fleet, rng=np.random.default_rng(1))
    >>> print(found.pairs[0].sentence)
    Dorn 6 fails 10 times as often as Dorn 4 (2.57-92.4). (ages not allowed for)
    """
    seen = [model for model in models if model.rate.drive_days]
    rates, refused = [model.rate for model in seen], []
    standardised: list[Standardised | None] = [None] * len(seen)
    shrunk: list[Shrunk | None] = [None] * len(seen)
    try:
        standardised = list(_at_common_ages(seen, level))
    except QuestionError as refusal:
        refused.append(str(refusal))
    try:
        shrunk = list(shrink(rates, rng=rng, level=level))
    except QuestionError as refusal:
        refused.append(str(refusal))
    rows = [Ranked(*row) for row in zip(seen, standardised, shrunk, strict=True)]
    rows.sort(key=_order)
    pairs = _pairs([row.model for row in rows], level)
    overall = homogeneity(rates, rng=rng) if len(seen) > 1 else None
    return Ranking(tuple(rows), pairs, tuple(refused), overall, level)


def _at_common_ages(models: Sequence[Model], level: float) -> list[Standardised]:
    standard = common_standard({model.name: model.by_age for model in models})
    shares = list(standard.values())
    return [
        directly_standardised([model.by_age[band] for band in standard], shares, level=level)
        for model in models
    ]


def _order(row: Ranked) -> tuple[float, str]:
    return (-row.shrunk.per_year if row.shrunk else 0.0, row.model.name)


def _pairs(models: Sequence[Model], level: float) -> tuple[Pair, ...]:
    found = [_compared(*two, level) for two in combinations(models, 2)]
    adjusted = holm([ratio.p_value for _, _, ratio in found])
    tested = sum(p is not None for p in adjusted)
    return tuple(Pair(*pair, p, tested) for pair, p in zip(found, adjusted, strict=True))


def _compared(first: Model, second: Model, level: float) -> tuple[str, str, Ratio]:
    """Compare two models, by age if that can be, the one that fails more often first."""
    ratio = _ratio(first, second, level)
    if ratio.value is not None and ratio.value < 1:
        return second.name, first.name, _ratio(second, first, level)
    return first.name, second.name, ratio


def _ratio(first: Model, second: Model, level: float) -> Ratio:
    bands = sorted(first.by_age.keys() & second.by_age.keys(), key=lambda band: band[0])
    by_age = ratio_by_age(
        [first.by_age[band] for band in bands], [second.by_age[band] for band in bands], level=level
    )
    return exact_ratio(first.rate, second.rate, level=level) if by_age is None else by_age
