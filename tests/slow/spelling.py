"""Which spellings are one model (rule 1), and how the model is shown."""

from __future__ import annotations

import re
import unicodedata
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from slow.nouns import GoodRow


def fold(spelling: str) -> str:
    """Fold what never tells two models apart: width, case, runs of space, underscore and hyphen."""
    return re.sub(r"[ _-]+", " ", unicodedata.normalize("NFKC", spelling).strip().casefold())


def key_of(spelling: str, aliases: Mapping[str, Sequence[str]]) -> str:
    """Give the key of a model: its own folding, or that of the alias key under which it is listed."""
    folded = fold(spelling)
    for alias, spellings in aliases.items():
        if folded in [fold(listed) for listed in spellings]:
            return fold(alias)
    return folded


def shown(key: str, spellings: Iterable[str], aliases: Mapping[str, Sequence[str]]) -> str:
    """Show the alias key, else the alphabetically first of the tidied spellings."""
    for alias in aliases:
        if fold(alias) == key:
            return alias
    return min(re.sub(" +", " ", unicodedata.normalize("NFKC", read).strip()) for read in spellings)


def shown_models(rows: Iterable[GoodRow], aliases: Mapping[str, Sequence[str]]) -> dict[str, str]:
    """Give each key in the rows the name under which it is shown."""
    spellings: dict[str, set[str]] = {}
    for read in {row.model_read for row in rows}:
        spellings.setdefault(key_of(read, aliases), set()).add(read)
    return {key: shown(key, found, aliases) for key, found in spellings.items()}


def are_near(one: str, other: str) -> bool:
    """Tell whether letters and digits of two keys agree, or one lacks the first words of the other."""
    if [sign for sign in one if sign.isalnum()] == [sign for sign in other if sign.isalnum()]:
        return True
    short, long = sorted((one.split(), other.split()), key=len)
    return 0 < len(short) < len(long) and long[-len(short) :] == short
