"""The records of a file as text under our names, in the engine's table `raw`.

What cannot be cut into cells is told apart.
"""

from __future__ import annotations

from contextlib import suppress
from typing import TYPE_CHECKING, NamedTuple

from reliability.errors import SourceError
from reliability.loaders.columns import NAMES, NUMBERS
from reliability.loaders.engine import UNREADABLE, Engine, literal
from reliability.loaders.header import NAME_ENCODING
from reliability.loaders.lines import LINE_LIMIT, Lines
from reliability.loaders.mapping import COMMA, ISO_DAY, POINT
from reliability.loaders.text import BROKEN, as_engine_reads, check_packing, has_mixed_line_ends, written_anew

if TYPE_CHECKING:
    from collections.abc import Mapping as Dictionary
    from collections.abc import Sequence
    from pathlib import Path

    from reliability.loaders.header import Layout
    from reliability.loaders.mapping import Mapping


class Broken(NamedTuple):
    """A record that cannot be cut into the columns of its file."""

    line: int
    text: str | None
    reason: str


class RawRows(NamedTuple):
    """What came into the table `raw`, and what did not."""

    date_format: str
    broken: Sequence[Broken]
    lines: Lines | None  # None: the file has no lines, its records are counted
    decimal: str = POINT  # as numbers of the file have it; in `raw` it is a point

    def lines_of(self, ordinals: Sequence[int]) -> list[int]:
        """The lines of rows of `raw`; of a file without lines, their numbers from 1."""
        return [ordinal + 1 for ordinal in ordinals] if self.lines is None else self.lines.of_whole(ordinals)


def read_csv(  # noqa: PLR0913  (what a file is read by)
    engine: Engine, path: Path, layout: Layout, mapping: Mapping, aside: Path, *, packed: bool
) -> RawRows:
    """Fill `raw` from CSV. Raises SourceError, its text a reason, if the file cannot be used as a whole."""
    if packed:
        try:
            check_packing(path)
        except BROKEN as error:
            raise SourceError(f"it cannot be read ({error})") from None
    readable, encoding = as_engine_reads(path, mapping.file.encoding, aside, packed=packed)
    told = {
        "file": literal(readable),
        # The engine takes names by position, and skips the header unread.
        "columns": {_cell(place): "VARCHAR" for place in range(len(layout.names))},
        "delimiter": mapping.file.delimiter,
        "encoding": encoding,
        "limit": LINE_LIMIT,
    }
    cells = {ours: _quoted(_cell(place)) for ours, place in layout.places.items()}
    if mapping.file.decimal == COMMA:
        cells |= {ours: f"translate({cells[ours]}, ',.', '.,')" for ours in cells.keys() & NUMBERS}
    found = None
    with suppress(SourceError):
        found = _fill(engine, cells, "read_csv", told)
    if found is None or (found and has_mixed_line_ends(path, mapping.file.encoding, packed=packed)):
        # Among line ends of several kinds the engine stops, or miscounts the lines; with one kind it does neither.
        with suppress(*BROKEN):
            anew = written_anew(path, mapping.file.encoding, aside, packed=packed, newline=None)
            told |= {"file": literal(anew), "encoding": "utf-8"}
        found = _fill(engine, cells, "read_csv", told)
    lines = Lines(path, mapping, packed=packed, broken=[record for record, *_ in found])
    where = lines.of_records([record for record, *_ in found]) if found else []
    broken = [
        Broken(line, (text or "").strip("\r\n") or None, _why(kind, message, mapping.file.encoding))
        for line, (_, kind, message, text) in zip(where, found, strict=True)
    ]
    return RawRows(mapping.date_format(), broken, lines, mapping.file.decimal)


def columns_of_parquet(engine: Engine, path: Path) -> dict[str, str]:
    """The columns of a Parquet file with their types. Raises SourceError, its text a reason, if it cannot be read."""
    try:
        return engine.columns_of(path)
    except UNREADABLE as error:
        raise SourceError(f"it cannot be read ({_first_line(error)})") from None


def read_parquet(engine: Engine, path: Path, layout: Layout, mapping: Mapping) -> RawRows:
    """Fill `raw` from Parquet, as text like any other. Raises SourceError as `read_csv` does."""
    kinds = list(columns_of_parquet(engine, path).values())
    places = layout.places
    cells = {ours: _as_text(layout.names[place], kinds[place]) for ours, place in places.items()}
    _fill(engine, cells, "read_parquet", {"file": literal(path)})
    is_day = "date" in places and kinds[places["date"]].startswith(("DATE", "TIMESTAMP"))
    return RawRows(ISO_DAY if is_day else mapping.date_format(), (), None)


def _fill(
    engine: Engine, cells: Dictionary[str, str], query: str, told: Dictionary[str, object]
) -> list[tuple[int, str, str, str]]:
    """Make `raw` of the cells asked for, the rest of our columns null; give the records that were not cut."""
    absent = {name: "cast(null as varchar)" for name in NAMES if name not in cells}
    wanted = ", ".join(f"{text} as {_quoted(ours)}" for ours, text in {**cells, **absent}.items())
    rows = engine.text(f"ingest/{query}")
    try:
        engine.make_from("raw", f"select {wanted} from ({rows})", **told)  # noqa: S608  (identifiers are quoted)
        return engine.ask("ingest/broken") if query == "read_csv" else []
    except UNREADABLE as error:
        raise SourceError(f"it cannot be read ({_first_line(error)})") from None
    finally:
        engine.forget_broken_records()


def _why(kind: str, message: str, encoding: str) -> str:
    if kind == "INVALID ENCODING":
        return f"it is not {encoding}; {NAME_ENCODING}"
    return f"the line cannot be cut into its columns: {message}"


def _cell(place: int) -> str:
    return f"cell {place}"


def _as_text(column: str, kind: str) -> str:
    """Moments become days: a drive's row stands for a whole day."""
    text = f"cast({_quoted(column)} as date)" if kind.startswith("TIMESTAMP") else _quoted(column)
    return f"cast({text} as varchar)"


def _quoted(name: str) -> str:
    return '"' + name.replace('"', '""') + '"'


def _first_line(error: Exception) -> str:
    return str(error).splitlines()[0]
