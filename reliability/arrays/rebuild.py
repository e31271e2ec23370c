"""The risk of losing data while an array rebuilds one drive."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from reliability.arrays.tail import chance_of_at_least, chance_within
from reliability.errors import QuestionError

if TYPE_CHECKING:
    from collections.abc import Sequence

    from reliability.arrays.array import Array

MULTIPLIERS = (
    1,
    3,
    10,
)  # batches, shared heat and load, and the rebuild itself raise the rate; by how much varies


@dataclass(frozen=True, slots=True)
class RebuildRisk:
    """Chances in one rebuild, between 0 and 1.

    another_failure  one of the drives left fails, or more
    unreadable       one sector or more cannot be read
    loss             data are lost
    """

    another_failure: float
    unreadable: float
    loss: float


def rebuild_risk(array: Array, per_year: float) -> RebuildRisk:
    """Risk of one rebuild, if all drives left fail at one rate, independently.

    per_year  failures per drive-year, 0 or more; infinite where a rate has no upper limit

    >>> from reliability.arrays.array import Array
    >>> risk = rebuild_risk(Array(10, 2, capacity_tb=30, mb_per_s=208, error_rate=1e-15), 0.01)
    >>> f"{risk.another_failure:.2e} {risk.unreadable:.3f} {risk.loss:.2e}"
    '4.12e-04 0.853 3.51e-04'
    """
    if not per_year >= 0:
        raise QuestionError(f"{per_year} failures per drive-year is no rate; give a number, 0 or more.")
    chance = 1.0 if math.isinf(per_year) else chance_within(per_year, array.rebuild_hours)
    return risk_by_chances(array, [chance] * array.left)


def risk_by_chances(array: Array, chances: Sequence[float]) -> RebuildRisk:
    """Risk of one rebuild, each drive left with a chance of its own, as from its age.

    chances  that each drive left fails during the rebuild, between 0 and 1

    Data are lost if as many more drives fail as there is parity, or if one fewer fail and a sector cannot be read
    that nothing else holds then. The sector may lie anywhere in the array, as if the last failure that parity
    covers came at once: later ones leave less to read, so this is an upper figure for double parity and above.
    """
    if len(chances) != array.left:
        raise QuestionError(
            f"{len(chances)} chances were given for the {array.left} drives left; give one for each."
        )
    too_many = chance_of_at_least(array.parity, chances)
    nearly = chance_of_at_least(array.parity - 1, chances)
    unreadable = array.unreadable
    return RebuildRisk(
        another_failure=chance_of_at_least(1, chances),
        unreadable=unreadable,
        loss=too_many * (1 - unreadable) + nearly * unreadable,
    )
