"""Two stores held against each other, row by row."""

from __future__ import annotations

from typing import TYPE_CHECKING

import duckdb

from reliability.loaders.manifest import read_manifest

if TYPE_CHECKING:
    from pathlib import Path

TABLES = ("lives", "whereabouts", "checks", "days_collected", "rejects", "removals")


def apart(one: Path, other: Path) -> list[str]:
    """Rows that one store has and the other has not, types of columns included; names of files by their last part."""
    here, there = read_manifest(one), read_manifest(other)
    pairs = [(name, here.tables[name], there.tables[name]) for name in TABLES]
    assert here.months.keys() == there.months.keys()
    for month, entry in here.months.items():
        pairs.append((f"stays of {month}", entry.stays, there.months[month].stays))
        assert (entry.repeats is None) == (there.months[month].repeats is None)
        if entry.repeats is not None:
            pairs.append((f"repeats of {month}", entry.repeats, str(there.months[month].repeats)))
    return [
        difference
        for name, ours, theirs in pairs
        for difference in rows_apart(name, one / ours, other / theirs)
    ]


def rows_apart(name: str, one: Path, other: Path) -> list[str]:
    found = []
    with duckdb.connect() as engine:
        kinds = [engine.read_parquet(str(path)) for path in (one, other)]
        if (kinds[0].columns, kinds[0].types) != (kinds[1].columns, kinds[1].types):
            found.append(f"{name}: columns {kinds[0].description} and {kinds[1].description}")
        shown = ", ".join(
            f"regexp_replace(url_decode(\"{column}\"), '[^ ]*/', '', 'g') as \"{column}\""
            if (name.partition(" ")[0], column)
            in {("rejects", "file"), ("checks", "detail"), ("repeats", "detail")}
            else f'"{column}"'
            for column in kinds[0].columns
        )
        for here, there in ((one, other), (other, one)):
            query = f"select {shown} from '{here}' except all select {shown} from '{there}'"  # noqa: S608  (our own)
            found += [f"{name}, only in {here}: {row}" for row in engine.sql(query).fetchall()]
    return found
