"""One file becomes Parquet parts, a month each; what cannot be kept becomes rejects with line, column and reason.

Blocks of plain rows are typed as a whole. Lines among which anything is odd are laid aside and read with care, cell
by cell, as are files of other kinds. Both ways come to the same rows.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from itertools import chain
from typing import TYPE_CHECKING

import pyarrow as pa

from reliability.errors import SourceError
from reliability.loaders.careful_rows import Reject, judge
from reliability.loaders.header import Layout, layout_of, read_header
from reliability.loaders.manifest import WORK, laid_aside
from reliability.loaders.memory import USUAL, Memory
from reliability.loaders.parts import Parts
from reliability.loaders.plain_lines import add_plain_lines
from reliability.loaders.plain_rows import PlainForm
from reliability.loaders.raw_rows import columns_of_parquet, read_csv, read_parquet

if TYPE_CHECKING:
    from collections.abc import Iterable
    from datetime import date
    from pathlib import Path

    from reliability.loaders.engine import Engine
    from reliability.loaders.mapping import Mapping
    from reliability.loaders.sources import SourceFile


@dataclass(frozen=True, slots=True)
class Ingested:
    """What one file came to: rows read = kept + rejected + duplicates."""

    rows_kept: int
    duplicate_rows: int
    rejects: tuple[Reject, ...]
    parts: dict[str, Path] = field(default_factory=dict)  # month -> file
    stays: dict[str, list[Path]] = field(default_factory=dict)  # month -> files of its stays, for this load
    at_hand: dict[str, pa.Table] = field(default_factory=dict)  # month -> its rows, where it has no stays yet

    @property
    def rows_read(self) -> int:
        """Every record of the file that is not blank."""
        return self.rows_kept + self.duplicate_rows + len(self.rejects)


def ingest(  # noqa: PLR0913, PLR0917  (from where, as what, to where)
    engine: Engine, source: SourceFile, mapping: Mapping, store: Path, part_name: str, memory: Memory = USUAL
) -> Ingested:
    """Read one file into parts of the store (snapshots/month=YYYY-MM/part_name).

    Raises SourceError, its text a reason, if the file cannot be used as a whole: unreadable, empty, without
    a required column, or a removal log.
    """
    day = mapping.day_in_name(source.base_name)
    with laid_aside(store, part_name) as aside, source.on_disk(aside) as path:
        layout = _layout(engine, source, path, mapping, day_is_known=day is not None)
        columns = dict.fromkeys([*layout.places, "date"])
        stays = store / WORK / "stays"
        rows = memory.rows_at_once
        with Parts(store / "snapshots", part_name, stays, source.name, list(columns), rows) as parts:
            rejects = _Reading(engine, mapping, day, layout, aside, parts, memory).read(source, path)
            if not parts.rows + len(rejects):
                raise SourceError("it has a header and no rows")
    duplicates = parts.repeated + (_repeated_in(engine, chain(*parts.stays.values())) if parts.stays else 0)
    rejects.sort(key=lambda reject: reject.line)
    kept = parts.rows - duplicates
    return Ingested(kept, duplicates, tuple(rejects), parts.parts, parts.stays, parts.at_hand)


def _repeated_in(engine: Engine, stays: Iterable[Path]) -> int:
    with engine.alone():
        engine.view("file_stays", stays)
        return int(engine.ask("ingest/repeated")[0][0])


def _layout(
    engine: Engine, source: SourceFile, path: Path, mapping: Mapping, *, day_is_known: bool
) -> Layout:
    if source.kind != "parquet":
        names = read_header(path, mapping, packed=source.kind == "csv.gz")
    else:
        with engine.alone():
            names = list(columns_of_parquet(engine, path))
    return layout_of(names, mapping, day_is_known=day_is_known)


@dataclass(frozen=True, slots=True)
class _Reading:
    """One file on its way into its parts."""

    engine: Engine
    mapping: Mapping
    day: date | None
    layout: Layout
    aside: Path
    parts: Parts
    memory: Memory

    def read(self, source: SourceFile, path: Path) -> list[Reject]:
        """Put the rows that can be kept into the parts; return the others."""
        form = PlainForm(len(self.layout.names), self.layout.places, self.mapping, self.day)
        packed = source.kind == "csv.gz"
        if source.kind == "parquet" or not form.is_possible:
            return self._with_care(source.kind, path)
        size = self.memory.block_bytes
        odd = add_plain_lines(path, form, self.parts, self.aside, packed=packed, block_bytes=size)
        if odd is None:
            return self._with_care(source.kind, path)
        if not odd:
            return []
        rejects = self._with_care("csv", odd.path)
        return [replace(reject, line=odd.line_of(reject.line)) for reject in rejects]

    def _with_care(self, kind: str, path: Path) -> list[Reject]:
        with self.engine.alone():
            if kind == "parquet":
                raw = read_parquet(self.engine, path, self.layout, self.mapping)
            else:
                packed = kind == "csv.gz"
                raw = read_csv(self.engine, path, self.layout, self.mapping, self.aside, packed=packed)
            rejects = judge(self.engine, self.mapping, self.day, raw)
            for batch in self.engine.batches("ingest/kept"):
                self.parts.add(pa.Table.from_batches([batch]))
        return rejects
