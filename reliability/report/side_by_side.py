"""Models side by side: the store's cells as the ranking takes them, and what of it the page has room for."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from reliability.comparer.ranking import Model
from reliability.digits import counted

if TYPE_CHECKING:
    from collections.abc import Container

    from reliability.comparer.ranking import Pair, Ranking
    from reliability.comparer.standardised import Band
    from reliability.loaders.exposure import Cell, Exposure
    from reliability.rate import Rate

MOST_PAIRS = 20  # on the page; the table behind it has all


def models_of(models: Exposure, aged: Exposure, asked: Container[str] | None = None) -> list[Model]:
    """Each model with its counts in all and by age.

    models, aged  failures and exposure by model, and by model and age
    asked         which of them; without it, all
    """
    by_age: dict[str, dict[Band, Rate]] = {}
    for cell in aged.cells:
        by_age.setdefault(str(cell.labels["model"]), {})[_band(cell)] = cell.rate
    return [
        Model(name, cell.rate, by_age.get(name, {}))
        for cell in models.cells
        for name in (str(cell.labels["model"]),)
        if asked is None or name in asked
    ]


def _band(cell: Cell) -> Band:
    start, end = cell.labels["age_from_days"], cell.labels["age_to_days"]
    return int(start or 0), None if end is None else int(end)


@dataclass(frozen=True, slots=True)
class SideBySide:
    """A ranking, and of which of its models drives vanished."""

    ranking: Ranking
    vanished: str | None

    @property
    def apart(self) -> list[Pair]:
        """Pairs that can be told apart, the surest first, as many as the page shows."""
        found = [pair for pair in self.ranking.pairs if pair.told_apart]
        return sorted(found, key=lambda pair: (pair.p_holm or 0.0, pair.model, pair.other))[:MOST_PAIRS]

    @property
    def other_pairs(self) -> str | None:
        """What the page does not show of the pairs; None if it shows all."""
        apart = sum(pair.told_apart for pair in self.ranking.pairs)
        more, alike = apart - len(self.apart), len(self.ranking.pairs) - apart
        parts = [f"{counted(more, 'more pair')} can be told apart"] * bool(more)
        parts += [f"{counted(alike, 'pair')} cannot" + " be told apart" * (not more)] * bool(alike)
        if not parts:
            return None
        return f"{' and '.join(parts)}; all pairs with their limits are in tables/pairs.csv."
