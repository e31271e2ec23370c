"""Each published entry with ours beside it: the value of it that lies furthest apart, and whether all agree."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from published_values import GROUPS, agrees, differs_in_print

from validation.published import LEFT_OUT, OURS

if TYPE_CHECKING:
    from validation.published.checks import Values

ROUNDING = 1e-9  # differences up to it, as part of the value, are rounding, and differ between machines


@dataclass(frozen=True, slots=True)
class Compared:
    """One entry, told by the value of it that lies furthest from ours.

    what, source   of the entry, in its own words
    values         how many numbers it holds
    name           of the value told
    theirs, ours   in full precision
    printed        the digits that the source prints, if it prints this value
    apart          difference as part of theirs, of theirs if that is 0
    within         whether all its values agree with ours within its tolerance
    """

    what: str
    source: str
    values: int
    name: str
    theirs: float
    ours: float
    printed: str | None
    apart: float
    within: bool


def compared(group: str) -> list[Compared]:
    """Every entry of a group of which ours computes something."""
    return [
        _compared(entry, OURS[entry["id"]](entry["inputs"])) for entry in GROUPS[group] if entry["id"] in OURS
    ]


def left_out(group: str) -> dict[str, str]:
    """What the other entries are about, and why ours does not compute them."""
    return {entry["what"]: LEFT_OUT[entry["id"]] for entry in GROUPS[group] if entry["id"] in LEFT_OUT}


def _compared(entry: dict[str, Any], ours: Values) -> Compared:
    printed = {
        name: digits
        for name, digits in entry.get("published", {}).items()
        if not differs_in_print(entry, name)
    }
    apart = {name: _apart(theirs, ours[name]) for name, theirs in entry["expected"].items()}
    telling = {name: (name in printed, theirs % 1 != 0) for name, theirs in entry["expected"].items()}
    name = max(apart, key=lambda name: (max(apart[name], ROUNDING), telling[name]))
    return Compared(
        what=entry["what"],
        source=entry["source"],
        values=len(apart),
        name=name,
        theirs=entry["expected"][name],
        ours=ours[name],
        printed=printed.get(name),
        apart=apart[name],
        within=all(agrees(entry, name, ours[name]) for name in apart),
    )


def _apart(theirs: float, ours: float) -> float:
    return abs(ours - theirs) / (abs(theirs) or 1)
