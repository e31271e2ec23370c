"""Each model while it ran within its stated rating only, against its stated rate: a claim on its own terms."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from reliability.comparer.stated import Comparison, compare
from reliability.loaders.signals import EXPOSED, NOT_REPORTED, UNEXPOSED, Rating, SignalHistory

if TYPE_CHECKING:
    from collections.abc import Sequence

    from reliability.datasheet import Datasheet
    from reliability.rate import Rate


@dataclass(frozen=True, slots=True)
class WithinRating:
    """A model by how it ran.

    comparison  of the drive-days within the rating
    above       drive-days above it
    unknown     drive-days of which temperature or workload is not known
    """

    model: str
    comparison: Comparison
    above: Rate
    unknown: Rate


def rating_of(sheet: Datasheet) -> Rating:
    """What a datasheet rates its model for."""
    heat = sheet.operating_temperature_c
    return Rating(None if heat is None else heat[1], sheet.rated_workload_tb_per_year)


def within_ratings(
    history: SignalHistory, sheets: Sequence[Datasheet], *, level: float
) -> tuple[WithinRating, ...]:
    """The models that have a drive-day and a datasheet with a rating, by name.

    history  of the signal `either_rating`
    """
    seen = {cell.model for cell in history.cells}
    rated = [sheet for sheet in sheets if sheet.model in seen and rating_of(sheet).covers(history.signal)]
    return tuple(
        WithinRating(
            sheet.model,
            compare(history.rate(UNEXPOSED, sheet.model), sheet.stated_rate, level=level),
            history.rate(EXPOSED, sheet.model),
            history.rate(NOT_REPORTED, sheet.model),
        )
        for sheet in sorted(rated, key=lambda sheet: sheet.model)
    )
