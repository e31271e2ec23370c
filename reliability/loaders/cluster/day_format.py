"""How a day is written, in the words of Spark."""

from __future__ import annotations

import re

from reliability.errors import MappingError

# ours -> theirs; a number that something else than a number bounds may have fewer digits: 5.3.2026
FIXED = {"%Y": "yyyy", "%y": "yy", "%m": "MM", "%d": "dd", "%j": "DDD", "%H": "HH", "%M": "mm", "%S": "ss"}
LOOSE = {"%m": "M", "%d": "d", "%H": "H", "%M": "m", "%S": "s", "%j": "D", "%-d": "d", "%-m": "M"}
NAMED = {"%b": "MMM", "%B": "MMMM", "%%": "%"}
PIECE = re.compile(r"%-?[A-Za-z%]|[^%]+")


def as_spark_writes(form: str) -> str:
    """The pattern by which Spark reads the days that are written as `form`.

    >>> as_spark_writes("%d.%m.%Y"), as_spark_writes("%Y%m%d"), as_spark_writes("%Y-%m-%dT%H")
    ("d'.'M'.'yyyy", 'yyyyMMdd', "yyyy'-'M'-'d'T'H")

    Raises MappingError for a directive that it cannot read days by.
    """
    pieces = PIECE.findall(form)
    return "".join(_piece(form, pieces, place) for place in range(len(pieces)))


def _piece(form: str, pieces: list[str], place: int) -> str:
    piece = pieces[place]
    if not piece.startswith("%"):
        return "'" + piece.replace("'", "''") + "'"
    beside = pieces[max(place - 1, 0) : place] + pieces[place + 1 : place + 2]
    alone = not any(other.startswith("%") or other[0].isdigit() or other[-1].isdigit() for other in beside)
    found = NAMED.get(piece) or (LOOSE.get(piece) if alone else None) or FIXED.get(piece)
    if found is None:
        raise MappingError(
            f"The date format {form!r} cannot be read on a cluster: {piece} is none of "
            f"{', '.join(sorted({*FIXED, *LOOSE, *NAMED}))}. Write the days anew, or load with the embedded engine."
        )
    return found
