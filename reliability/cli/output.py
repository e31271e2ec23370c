"""Results on standard output: a table for people, JSON or CSV for programs. Messages go to standard error."""

from __future__ import annotations

import csv
import json
import math
import sys
from collections.abc import Mapping, Sequence
from datetime import date

from rich.box import SIMPLE_HEAD
from rich.console import Console
from rich.table import Table
from rich.text import Text

from reliability.cli.visible import visible

WIDE = 200  # columns of a table that goes into a pipe or a file, where nothing needs to be cut


def out() -> Console:
    """Standard output; colour only on a terminal."""
    terminal = sys.stdout.isatty()
    return Console(file=sys.stdout, width=None if terminal else WIDE, highlight=False, soft_wrap=not terminal)


def say(message: str) -> None:
    """A message for people, on standard error."""
    print(visible(message), file=sys.stderr)  # noqa: T201  (this is the one place that does)


def plain(value: object) -> object:
    """A value as JSON has it: days in ISO form, unknown and unbounded null."""
    if isinstance(value, float) and not math.isfinite(value):
        return None
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, Mapping):
        return {name: plain(inner) for name, inner in value.items()}
    if isinstance(value, list | tuple):
        return [plain(inner) for inner in value]
    return value


def write_json(payload: Mapping[str, object]) -> None:
    """Unrounded numbers, one object."""
    # Where not every letter can be written, JSON has escapes of its own.
    has_all_letters = (sys.stdout.encoding or "").lower().startswith("utf")
    json.dump(plain(payload), sys.stdout, indent=2, ensure_ascii=not has_all_letters, allow_nan=False)
    sys.stdout.write("\n")


def write_csv(rows: Sequence[Mapping[str, object]], columns: Sequence[str]) -> None:
    """One row each; unknown is empty. Text stands as it is in the data."""
    writer = csv.writer(sys.stdout, lineterminator="\n")
    writer.writerow(columns)
    for row in rows:
        writer.writerow(["" if (value := plain(row[name])) is None else value for name in columns])


def write_table(
    title: str,
    columns: Sequence[tuple[str, str]],
    rows: Sequence[Sequence[str]],
    console: Console | None = None,
) -> None:
    """A text table; a column is (heading, "left" or "right").

    Text of the data is shown as it is, never read as markup.
    """
    table = Table(
        title=Text(title, style="bold"),
        title_justify="left",
        box=SIMPLE_HEAD,
        show_edge=False,
        pad_edge=False,
    )
    for heading, side in columns:
        table.add_column(Text(heading), justify="right" if side == "right" else "left", overflow="fold")
    for row in rows:
        table.add_row(*(Text(visible(cell)) for cell in row))
    (console or out()).print(table)
