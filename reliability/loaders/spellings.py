"""Which spellings are one model, and which names nearly agree.

Folded are only differences that no maker means: width and form of characters (NFKC), case, and runs of
space, underscore and hyphen. Everything else, makers' prefixes too, needs an alias in the mapping.
"""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass
from difflib import get_close_matches
from itertools import combinations
from typing import TYPE_CHECKING

from reliability.errors import MappingError, QuestionError
from reliability.spelling import folded

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

NEAR = 0.8  # of 1: how much letters agree of a name that was probably meant
MANY = 12  # names, more than which nobody reads


def tidy(name: str) -> str:
    """The spelling as shown: trimmed, NFKC, one space for a run of spaces.

    >>> tidy("  TARN   T18 ")
    'TARN T18'
    """
    return re.sub(r"\s+", " ", unicodedata.normalize("NFKC", name)).strip()


def alias_keys(models: Mapping[str, Iterable[str]]) -> dict[str, str]:
    """Folded spelling -> the alias key it stands under.

    Raises MappingError if a spelling stands under two keys.
    """
    keys: dict[str, str] = {}
    for key, names in models.items():
        for name in (key, *names):
            known = keys.setdefault(folded(name), key)
            if folded(known) != folded(key):
                raise MappingError(
                    f"The spelling {name!r} stands under two models, {known!r} and {key!r}; a spelling is one model. "
                    f"Keep it under one of them in [models]."
                )
    return keys


def joined_aliases(
    known: Mapping[str, Iterable[str]], told: Mapping[str, Iterable[str]]
) -> dict[str, list[str]]:
    """The alias table of a store with that of a new mapping; where both speak of a spelling, the new one is right.

    A model that has become a spelling of another takes its own spellings with it.

    >>> joined_aliases({"A": ["x", "y"]}, {"B": ["x"]})
    {'A': ['y'], 'B': ['x']}
    >>> joined_aliases({"A": ["x"]}, {"B": ["A"]})
    {'B': ['A', 'x']}
    """
    keys = alias_keys(told)
    joined = {key: list(names) for key, names in told.items()}
    for key, names in known.items():
        if key in told:
            continue
        left = [name for name in names if folded(name) not in keys]
        joined.setdefault(keys.get(folded(key), key), []).extend(left)
    return dict(sorted(joined.items()))


@dataclass(frozen=True, slots=True)
class Spelling:
    """One model name as it was read, the key of its model, and the name that is shown for it."""

    read: str
    key: str
    shown: str


def spellings(names: Iterable[str], models: Mapping[str, Iterable[str]]) -> tuple[Spelling, ...]:
    """Every name as read with its model; shown is the alias key, else the alphabetically first tidy spelling.

    >>> [s.shown for s in spellings(["b_1", "B 1"], {})]
    ['B 1', 'B 1']
    """
    aliases = alias_keys(models)
    by_key: dict[str, list[str]] = {}
    for name in names:
        alias = aliases.get(folded(name))
        by_key.setdefault(folded(alias if alias is not None else name), []).append(name)
    found = []
    for key, read in by_key.items():
        shown = aliases.get(key) or min(tidy(name) for name in read)
        found += [Spelling(name, key, shown) for name in read]
    return tuple(sorted(found, key=lambda spelling: spelling.read))


def nearest(name: str, known: Sequence[str]) -> str | None:
    """The name among those known that was probably meant by a slip of the hand; None if none is near.

    >>> nearest("tarn t8", ["TARN T18", "PELL P12"])
    'TARN T18'
    """
    by_letters = {_letters(shown): shown for shown in known}
    found = get_close_matches(_letters(name), by_letters, n=1, cutoff=NEAR)
    return by_letters[found[0]] if found else None


def spelt_nearly(name: str, known: Sequence[str]) -> str | None:
    """The name among those known that nearly agrees, as `near_spellings` has it; None if none does.

    A slip is not looked for: of one maker's models, names differ by a digit.

    >>> spelt_nearly("tarnt18", ["TARN T18"]), spelt_nearly("TARN T28", ["TARN T18"])
    ('TARN T18', None)
    """
    return next((shown for shown in known if _nearly_agree(name, shown)), None)


def _nearly_agree(one: str, other: str) -> bool:
    """Whether letters and digits agree, or one name is the other without its first words."""
    first, second = folded(one), folded(other)
    return _letters(one) == _letters(other) or first.endswith(" " + second) or second.endswith(" " + first)


def _letters(name: str) -> str:
    return "".join(filter(str.isalnum, folded(name)))


def no_such_model(name: object, known: Sequence[str]) -> QuestionError:
    """The error for a model that is not in the store, with what may have been meant."""
    meant = nearest(name, known) if isinstance(name, str) else None
    told = ", ".join(map(repr, known[:MANY])) + (f" and {len(known) - MANY:,} more" * (len(known) > MANY))
    hint = "; its" if meant is None else f", did you mean {meant!r}? Its"
    return QuestionError(f"There is no model {name!r} in the store{hint} models are {told}.")


def near_spellings(found: Iterable[Spelling]) -> tuple[tuple[str, str], ...]:
    """Pairs (model key, shown name of the other) that nearly agree and are not one: listed, never joined.

    Nearly: letters and digits agree, or one is the other without its first words.

    >>> near_spellings(spellings(["Tarn T18", "TARNT18"], {}))
    (('tarnt18', 'Tarn T18'),)
    """
    shown = sorted({(spelling.shown, spelling.key) for spelling in found})
    return tuple(
        (key, other) for (name, key), (other, _) in combinations(shown, 2) if _nearly_agree(name, other)
    )
