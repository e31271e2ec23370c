"""Why a drive was retired, in the words of whoever kept the log: for a warning sign, or as planned.

A drive that is pulled because its sectors go bad does not leave by chance: it might have failed soon. Words tell
the two kinds apart, first those of the mapping, then plain ones listed here. A reason in which words of both
kinds stand, or none, is unclear; it is counted as planned, and told.
"""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import dataclass
from enum import Enum
from typing import TYPE_CHECKING

from reliability.spelling import folded

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping


class Kind(Enum):
    """What a reason tells of a retirement."""

    PREEMPTIVE = "preemptive"  # for a warning sign
    PLANNED = "planned"
    UNCLEAR = "unclear"


PLAIN_WORDS = {
    Kind.PREEMPTIVE.value: (
        "bad block",
        "bad blocks",
        "bad sector",
        "bad sectors",
        "error",
        "errors",
        "failing",
        "overheating",
        "pending sectors",
        "pre-fail",
        "pre-failure",
        "predicted failure",
        "predictive failure",
        "reallocated sectors",
        "remapped sectors",
        "suspect",
        "timeouts",
        "uncorrectable",
        "unreadable",
        "unreadable sectors",
        "warning",
        "warnings",
    ),
    Kind.PLANNED.value: (
        "cleared",
        "decommissioned",
        "end of lease",
        "end of life",
        "end of warranty",
        "lent",
        "migrated",
        "migration",
        "obsolete",
        "planned",
        "refresh",
        "scheduled",
        "shelf",
        "sold",
        "spare",
        "surplus",
        "too small",
        "upgrade",
        "upgraded",
    ),
}


def kind_of(reason: str | None, told: Mapping[str, Iterable[str]]) -> Kind:
    """What kind of retirement a reason tells of; without a reason it is unclear.

    told  words by kind, `preemptive` and `planned`, that go before the plain ones

    Words are whole, and folded as names of models are: case, space, `_` and `-` make no difference.

    >>> kind_of("Rising BAD-sectors", {})
    <Kind.PREEMPTIVE: 'preemptive'>
    >>> kind_of("disk too small", {}), kind_of("no bad sectors, too small", {}), kind_of(None, {})
    (<Kind.PLANNED: 'planned'>, <Kind.UNCLEAR: 'unclear'>, <Kind.UNCLEAR: 'unclear'>)
    >>> kind_of("bad sectors", {"planned": ["bad sectors"]})
    <Kind.PLANNED: 'planned'>
    """
    text = folded(reason or "")
    for words in (told, PLAIN_WORDS):
        kinds = [
            kind for kind in (Kind.PREEMPTIVE, Kind.PLANNED) if _stands_in(text, words.get(kind.value, ()))
        ]
        if kinds:
            return kinds[0] if len(kinds) == 1 else Kind.UNCLEAR
    return Kind.UNCLEAR


def _stands_in(text: str, words: Iterable[str]) -> bool:
    return any(re.search(rf"(?<!\w){re.escape(folded(word))}(?!\w)", text) for word in words)


def joined_words(
    known: Mapping[str, Iterable[str]], told: Mapping[str, Iterable[str]]
) -> dict[str, list[str]]:
    """The words of a store with those of a new mapping; where both have a word, the new mapping is right.

    >>> joined_words({"preemptive": ["noise", "swap"]}, {"planned": ["Swap"]})
    {'planned': ['Swap'], 'preemptive': ['noise']}
    """
    new = {folded(word) for words in told.values() for word in words}
    joined = {kind: list(words) for kind, words in told.items()}
    for kind, words in known.items():
        joined.setdefault(kind, []).extend(word for word in words if folded(word) not in new)
    return {kind: sorted(words) for kind, words in sorted(joined.items()) if words}


@dataclass(frozen=True, slots=True)
class Retirements:
    """Lives of one model that the log says were retired, by what their reasons tell.

    unclear  reasons that tell neither, each with how many lives; None: no reason was given
    """

    model: str
    preemptive: int
    planned: int
    unclear: tuple[tuple[str | None, int], ...]


def retirements(
    counts: Iterable[tuple[str, str | None, int]], told: Mapping[str, Iterable[str]]
) -> tuple[Retirements, ...]:
    """Sum up retired lives, counted by model and reason; a model without any is not there.

    >>> retirements([("A", "bad sectors", 2), ("A", None, 1)], {})
    (Retirements(model='A', preemptive=2, planned=0, unclear=((None, 1),)),)
    """
    by_kind: dict[str, Counter[Kind]] = {}
    unclear: dict[str, list[tuple[str | None, int]]] = {}
    for model, reason, lives in counts:
        kind = kind_of(reason, told)
        by_kind.setdefault(model, Counter())[kind] += lives
        if kind is Kind.UNCLEAR:
            unclear.setdefault(model, []).append((reason, lives))
    return tuple(
        Retirements(model, kinds[Kind.PREEMPTIVE], kinds[Kind.PLANNED], tuple(unclear.get(model, ())))
        for model, kinds in sorted(by_kind.items())
    )
