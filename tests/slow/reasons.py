"""What the reason of a retirement tells (rule 10), word by word."""

from __future__ import annotations

from typing import TYPE_CHECKING

from slow.spelling import fold

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from slow.nouns import Life

KINDS = ("preemptive", "planned")


def kind(reason: str | None, lists: Sequence[Mapping[str, Iterable[str]]]) -> str:
    """Give preemptive, planned or unclear: by the first of the lists that has any word of the reason."""
    for words in lists:
        said = [k for k in KINDS if any(stands_in(word, reason or "") for word in words.get(k, ()))]
        if said:
            return said[0] if len(said) == 1 else "unclear"
    return "unclear"


def stands_in(word: str, reason: str) -> bool:
    """Tell whether whole words stand in a row somewhere in a reason, whatever punctuation is about."""
    wanted, there = _marks(word), _marks(reason)
    return any(there[at : at + len(wanted)] == wanted for at in range(len(there)))


def _marks(text: str) -> list[str]:
    """Cut folded text into words and single signs; a space is no sign where words are apart anyway."""
    marks: list[str] = []
    last_is_word = False
    for sign in fold(text):
        is_word = sign.isalnum() or sign == "_"
        if is_word and last_is_word:
            marks[-1] += sign
        else:
            marks.append(sign)
        last_is_word = is_word
    return marks


def retired(
    lives: Iterable[Life], lists: Sequence[Mapping[str, Iterable[str]]]
) -> dict[tuple[str, str], int]:
    """Count the retired lives of each model and kind."""
    counts: dict[tuple[str, str], int] = {}
    for life in lives:
        if life.outcome == "retired":
            key = (life.model, kind(life.reason, lists))
            counts[key] = counts.get(key, 0) + 1
    return counts
