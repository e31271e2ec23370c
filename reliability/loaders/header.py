"""The header of a file: which of its columns are ours."""

from __future__ import annotations

import csv
from dataclasses import dataclass
from typing import TYPE_CHECKING

from reliability.errors import SourceError
from reliability.loaders.columns import NAMES, REQUIRED
from reliability.loaders.mapping import DELIMITERS
from reliability.loaders.text import BLANKS, BROKEN, UNDECODED, open_text

if TYPE_CHECKING:
    from collections.abc import Mapping as Dictionary
    from collections.abc import Sequence
    from pathlib import Path

    from reliability.loaders.mapping import Mapping

LOG_FOUND = "it has a column 'outcome' and looks like a removal log; give it with --removals"
NAME_ENCODING = "name the encoding (latin-1, for instance) in a mapping, under [file]"


@dataclass(frozen=True, slots=True)
class Layout:
    """The columns of a file, and which of them are ours."""

    names: Sequence[str]
    places: Dictionary[str, int]  # our columns, and the extra ones asked for -> their place in the file


def layout_of(names: Sequence[str], mapping: Mapping, *, day_is_known: bool) -> Layout:
    """Find our columns in a file that can be read as snapshots. Raises SourceError, its text a reason, if it cannot."""
    if is_removal_log(names, mapping):
        raise SourceError(LOG_FOUND)
    return Layout(names, place_columns(names, mapping, day_is_known=day_is_known))


def read_header(path: Path, mapping: Mapping, *, packed: bool) -> list[str]:
    """The names in the first line of a CSV file. Raises SourceError, its text a reason, if there are none."""
    try:
        # What does not decode further down is a matter of its row.
        with open_text(path, mapping.file.encoding, packed=packed, errors="replace") as text:
            header = next(csv.reader(text, delimiter=mapping.file.delimiter), None)
    except (*BROKEN, csv.Error) as error:
        raise SourceError(f"it cannot be read ({error})") from None
    if header is None:
        raise SourceError("it is empty")
    names = [name.strip(BLANKS) for name in header]
    if not any(names):
        raise SourceError("its first line is blank; the names of its columns have to stand there")
    if UNDECODED in "".join(names):
        raise SourceError(f"its header is not {mapping.file.encoding}; {NAME_ENCODING}")
    return names


def is_removal_log(header: Sequence[str], mapping: Mapping) -> bool:
    """Whether a file with this header is no file of snapshots: it has a column `outcome` that no mapping uses."""
    return "outcome" in header and not mapping.needs_outcome


def place_columns(header: Sequence[str], mapping: Mapping, *, day_is_known: bool) -> dict[str, int]:
    """Our columns, and the extra ones asked for -> their place in the file, for those that it has.

    Raises SourceError, its text a reason, where a needed column is missing or one that is read stands twice.
    """
    theirs = {ours: name for ours in NAMES if (name := mapping.theirs(ours)) is not None and name in header}
    needed = [name for name in REQUIRED if not (name == "date" and day_is_known)]
    if mapping.failed is not None:
        needed.append("failed")
    missing = [mapping.theirs(name) or name for name in needed if name not in theirs]
    if missing:
        raise SourceError(_missing(missing, header, mapping))
    theirs |= {name: name for name in mapping.extra.columns if name in header}
    twice = sorted({name for name in theirs.values() if list(header).count(name) > 1})
    if twice:
        raise SourceError(
            f"its header names the column {twice[0]!r} twice; a column that is read must stand once"
        )
    return {ours: list(header).index(name) for ours, name in theirs.items()}


def _missing(missing: Sequence[str], header: Sequence[str], mapping: Mapping) -> str:
    wanted = ", ".join(map(repr, missing))
    text = f"it has no column {wanted}; its columns are {', '.join(header)}"
    others = [mark for mark in DELIMITERS if mark != mapping.file.delimiter and mark in header[0]]
    if len(header) == 1 and others:
        return f"{text}; it looks cut by {others[0]!r}: name the delimiter in a mapping, under [file]"
    return f"{text}; name the one that holds it in a mapping, under [columns]"
