"""Rejected rows as people are told of them: what was wrong, how often, and where to look."""

from __future__ import annotations

from pathlib import PurePosixPath
from typing import TYPE_CHECKING

from reliability.cli.output import out, write_table
from reliability.digits import counted

if TYPE_CHECKING:
    from reliability.loaders.store import Store

KINDS = 10  # are told; the rest stands in the table
LONGEST = 40  # letters of an example


def write_rejected(store: Store) -> None:
    """A table of what was wrong with rows of the store, most first; nothing if none was rejected."""
    kinds = store.rejections()
    if not kinds:
        return
    write_table(
        "Rejected rows of the store",
        [
            ("Rows", "right"),
            ("Column", "left"),
            ("What is wrong", "left"),
            ("The first of them", "left"),
            ("Line", "right"),
            ("File", "left"),
        ],
        [
            [
                f"{k.rows:,}",
                k.column or "whole line",
                k.reason,
                _cut(k.value or ""),
                f"{k.line:,}",
                PurePosixPath(k.file).name,
            ]
            for k in kinds[:KINDS]
        ],
    )
    if len(kinds) > KINDS:
        more = counted(len(kinds) - KINDS, "further kind")
        out().print(f"And {more}, of {sum(k.rows for k in kinds[KINDS:]):,} rows.", markup=False)


def _cut(text: str) -> str:
    return text if len(text) <= LONGEST else f"{text[: LONGEST - 1]}…"
