"""What an estimator says, number by number, and how each must change with the fleet."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple, TypeAlias

if TYPE_CHECKING:
    from collections.abc import Callable

Life: TypeAlias = tuple[float, float, str]  # age at entry and at exit, in days, and how it ended
Groups: TypeAlias = list[
    list[Life]
]  # models, batches: whatever an estimator compares; others take them together


class Number(NamedTuple):
    """A number that an estimator says.

    value  None where there is none
    time   power of time in its unit: 1 of an age, -1 of a rate, 0 of a chance or a ratio
    twice  what it is multiplied by when every drive is there twice; None: no rule says
    """

    value: float | None
    time: int = 0
    twice: float | None = 1.0


@dataclass(frozen=True, slots=True)
class Estimator:
    """An estimator and the laws it keeps.

    name     as the page calls it
    says     its numbers, from groups of lives and the length of a day in the unit of their ages
    laws     names of the laws that hold for it
    twin     the test, FILE::NAME, that holds it against a plain second way to compute it
    outside  programs and papers it is held against
    """

    name: str
    says: Callable[[Groups, float], list[Number]]
    laws: frozenset[str]
    twin: str
    outside: str
