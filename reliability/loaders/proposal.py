"""Look at a file of another source and propose a mapping for it.

What cannot be placed is said, never guessed.
"""

from __future__ import annotations

import json
import re
from contextlib import suppress
from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING

from reliability.loaders.columns import NAMES, NUMBERS, REQUIRED
from reliability.loaders.mapping import COMMA, ISO_DAY, POINT
from reliability.loaders.sample import take_sample

if TYPE_CHECKING:
    from collections.abc import Sequence

    from reliability.loaders.sources import SourceFile

DATE_FORMATS = (ISO_DAY, "%d.%m.%Y", "%d/%m/%Y", "%m/%d/%Y", "%Y/%m/%d", "%Y%m%d", "%d-%m-%Y")
TIME_FORMATS = ("", " %H:%M:%S", "T%H:%M:%S", " %H:%M", "T%H:%M")  # behind the day
WITH_COMMA = re.compile(r"[-+]?\d+,\d+")
THOUSANDS = re.compile(r"[-+]?\d{1,3},\d{3}")  # may be, but need not
FLAG_WORDS = {"true", "false", "t", "f", "yes", "no", "y", "n", "1", "0", ""}
DEAD_WORDS = {"failed", "fail", "failure", "dead", "broken", "defect", "defective", "lost", "faulty"}

# How people call these columns, all letters and digits of it: words of the trade and abbreviations of them.
WORDS = {
    "date": ("date", "day", "reading day", "snapshot date", "reported on", "timestamp", "time"),
    "serial": ("serial", "serial number", "serial no", "sn", "drive serial", "disk serial", "disk", "drive"),
    "model": ("model", "model name", "model number", "product", "type", "kind", "drive model"),
    "failed": (
        "failed",
        "failure",
        "is failed",
        "has failed",
        "dead",
        "broken",
        "state",
        "status",
        "condition",
        "health",
    ),
    "capacity_tb": (
        "capacity tb",
        "capacity",
        "size tb",
        "size gb",
        "capacity gb",
        "capacity bytes",
        "size bytes",
    ),
    "power_on_hours": (
        "power on hours",
        "poh",
        "hours",
        "hours on",
        "hours run",
        "power on time",
        "poh minutes",
        "power on minutes",
    ),
    "temperature_c": ("temperature c", "temperature", "temp", "temp c", "celsius", "temperature celsius"),
    "bytes_written": ("bytes written", "written bytes", "host writes", "written"),
    "bytes_read": ("bytes read", "read bytes", "host reads"),
    "reallocated_sectors": (
        "reallocated sectors",
        "reallocated",
        "remapped",
        "reallocated sector count",
        "grown defects",
    ),
    "pending_sectors": ("pending sectors", "pending", "current pending sectors"),
    "offline_uncorrectable": ("offline uncorrectable", "uncorrectable sectors"),
    "reported_uncorrectable": ("reported uncorrectable", "reported uncorrectable errors"),
    "command_timeouts": ("command timeouts", "command timeout", "timeouts"),
    "interface_crc_errors": ("interface crc errors", "crc errors", "link crc errors"),
    "media_errors": ("media errors", "media and data integrity errors"),
    "percentage_used": ("percentage used", "percent used", "wear"),
    "available_spare": ("available spare", "spare"),
    "site": ("site", "location", "house", "building", "room", "datacenter", "data center"),
    "rack": ("rack", "shelf", "enclosure", "cabinet"),
    "batch": ("batch", "lot", "delivery"),
}
SCALES = (
    ("minutes", 1 / 60),
    ("gb", 1e-3),
    ("bytes", 1e-12),
)  # a unit in the column's name, and its factor to ours


@dataclass(frozen=True, slots=True)
class Proposal:
    """A mapping for a source, and what is left for a person to decide."""

    columns: dict[str, str]  # ours -> theirs
    missing: tuple[str, ...]  # required columns that none of theirs seems to be
    unplaced: tuple[str, ...]  # theirs that none of ours seems to be
    notes: tuple[str, ...]
    toml: str


def propose(source: SourceFile) -> Proposal:
    """Read the first rows of a file and propose a mapping.

    Raises SourceError if it cannot be read or is empty.
    """
    header, rows, delimiter, encoding = take_sample(source)
    placed = _place(header)
    notes: list[str] = []
    commas = [
        value
        for ours in NUMBERS
        if ours in placed and source.kind != "parquet"  # which has numbers as such
        for value in _values(header, rows, placed[ours])
        if WITH_COMMA.fullmatch(value)
    ]
    lines = _file_lines(delimiter, encoding, _decimal(commas, notes))
    columns = [
        _column_line(ours, placed[ours], _values(header, rows, placed[ours]), notes)
        for ours in NAMES
        if ours in placed and ours != "failed"
    ]
    lines += ["[columns] # ours = theirs", *[line for line in columns if line], ""]
    if "failed" in placed:
        lines += _failed_lines(placed["failed"], _values(header, rows, placed["failed"]), notes)
    missing = tuple(name for name in REQUIRED if name not in placed)
    unplaced = tuple(name for name in header if name not in placed.values())
    notes += [
        f"{name} stands {header.count(name)} times; a column that is read must stand once"
        for name in dict.fromkeys(placed.values())
        if header.count(name) > 1
    ]
    if "outcome" in header:
        notes.append("it has a column outcome and looks like a removal log: give it to load with --removals")
    if "failed" not in placed:
        notes.append(
            "no column seems to say that a drive failed: name it under [failed], or give a removal log with --removals"
        )
    return Proposal(placed, missing, unplaced, tuple(notes), "\n".join(lines).rstrip() + "\n")


def _quoted(text: str) -> str:
    """Text as TOML has it. Escapes are those of JSON, but for signs that JSON writes as two halves, or not at all."""
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007f")


def _bare(name: str) -> str:
    """Letters and digits only: `Power-On Hours`, `powerOnHours` and `power_on_hours` are one."""
    return "".join(filter(str.isalnum, name.casefold()))


def _place(header: Sequence[str]) -> dict[str, str]:
    """Ours -> theirs; the first word of ours that one of theirs is."""
    bare = {_bare(name): name for name in reversed(header)}
    placed: dict[str, str] = {}
    for ours, words in WORDS.items():
        for word in (ours, *words):
            theirs = bare.get(_bare(word))
            if theirs is not None and theirs not in placed.values():
                placed[ours] = theirs
                break
    return placed


def _values(header: Sequence[str], rows: Sequence[Sequence[str]], name: str) -> list[str]:
    place = header.index(name)
    return [cell for row in rows if (cell := row[place].strip())]


def _decimal(commas: Sequence[str], notes: list[str]) -> str:
    """The mark of decimals, from the numbers with a comma; where it may mark thousands, that is said."""
    if any(not THOUSANDS.fullmatch(value) for value in commas):
        return COMMA
    if commas:
        notes.append(
            f'a number is written {commas[0]}: if the comma marks decimals, write decimal = "," under [file]; '
            "numbers with marks of thousands cannot be read"
        )
    return POINT


def _file_lines(delimiter: str, encoding: str, decimal: str) -> list[str]:
    lines = [f"delimiter = {json.dumps(delimiter)}"] if delimiter != "," else []
    lines += [f"encoding = {json.dumps(encoding)}"] if encoding != "utf-8" else []
    lines += [f"decimal = {json.dumps(decimal)}"] if decimal != POINT else []
    return ["[file]", *lines, ""] if lines else []


def _column_line(ours: str, theirs: str, values: Sequence[str], notes: list[str]) -> str | None:
    if ours == "date":
        return _date_line(theirs, values, notes)
    scale = next(
        (factor for unit, factor in SCALES if re.search(rf"(^|[^a-z]){unit}($|[^a-z])", theirs.casefold())),
        None,
    )
    if scale is not None and ours in ("power_on_hours", "capacity_tb"):
        notes.append(f"{theirs} is taken to need a factor of {scale:.6g} for {ours}: check its unit")
        return f"{ours} = {{ column = {_quoted(theirs)}, scale = {scale!r} }}"
    return None if ours == theirs else f"{ours} = {_quoted(theirs)}"


def _date_line(theirs: str, values: Sequence[str], notes: list[str]) -> str | None:
    fitting = [
        known + time
        for known in DATE_FORMATS
        for time in TIME_FORMATS
        if values and all(_is_day(value, known + time) for value in values)
    ]
    if not fitting:
        notes.append(
            f"the days in {theirs} are written in no way known here (such as {values[0]!r}): give their format"
            if values
            else f"{theirs} has no value to look at"
        )
        return f"date = {_quoted(theirs)}" if theirs != "date" else None
    if len(fitting) > 1:
        notes.append(f"the days in {theirs} can be read as {' or '.join(fitting)}: check which")
    if fitting[0] == ISO_DAY:
        return f"date = {_quoted(theirs)}" if theirs != "date" else None
    return f"date = {{ column = {_quoted(theirs)}, format = {json.dumps(fitting[0])} }}"


def _is_day(text: str, known: str) -> bool:
    with suppress(ValueError):
        datetime.strptime(text, known)  # noqa: DTZ007  (a calendar day has no zone)
        return True
    return False


def _failed_lines(theirs: str, values: Sequence[str], notes: list[str]) -> list[str]:
    words = sorted(set(values))
    if all(word.casefold() in FLAG_WORDS for word in words):
        return (
            []
            if theirs == "failed"
            else ["[failed] # how this source says that a drive failed", f"column = {_quoted(theirs)}", ""]
        )
    dead = [word for word in words if word.casefold() in DEAD_WORDS]
    shown = ", ".join(words[:8]) + (", ..." if len(words) > 8 else "")  # noqa: PLR2004  (enough to see what they are)
    notes.append(
        f"{theirs} says {shown}: "
        + (
            "check which of them mean failed"
            if dead
            else "name those that mean failed, under [failed], as values"
        )
    )
    return [
        "[failed] # how this source says that a drive failed",
        f"column = {_quoted(theirs)}",
        f"values = [{', '.join(map(_quoted, dead))}]",
        "",
    ]
