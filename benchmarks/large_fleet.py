"""A large fleet: memory and cost of a row where a month is far more than memory has room for.

`python -m benchmarks.large_fleet [--drives 300000] [--days 45] [--write]`. The same days are loaded as a file a month
and as a file a day, with the usual memory and with the least that can be asked for; the table goes into docs/speed.md.
"""

from __future__ import annotations

import argparse
import sys
import tempfile
from pathlib import Path
from typing import TYPE_CHECKING

from benchmarks.measure import DRIVEYEARS, module, run
from benchmarks.speed_page import rows as table_rows
from benchmarks.speed_page import write_section

if TYPE_CHECKING:
    from collections.abc import Iterator

MILLION = 1_000_000
FILES = {"one a month": (), "one a day": ("--daily",)}
MEMORY = {"usual": (), "`--memory 500MB`": ("--memory", "500MB")}
HEADINGS = ("Files", "Memory", "Rows (millions)", "Load (s)", "Per row (µs)", "Peak memory (MB)")


def cells(drives: int, days: int, folder: Path) -> Iterator[tuple[str, ...]]:
    """Give a row of the table for each kind of files and each memory."""
    for files, daily in FILES.items():
        fleet = folder / files
        told = run(*module("fleet", fleet, "--drives", str(drives), "--days", str(days), *daily)).told
        million = told["rows"] / MILLION
        for memory, option in MEMORY.items():
            loaded = run(*DRIVEYEARS, "load", fleet, "--store", folder / f"store {files} {memory}", *option)
            figures = (f"{million:.1f}", f"{loaded.seconds:.1f}", f"{loaded.seconds / million:.2f}")
            yield files, memory, *figures, f"{loaded.megabytes:,.0f}"
            print(files, memory, *figures, loaded.megabytes, file=sys.stderr, flush=True)  # noqa: T201  (progress)


def main(arguments: list[str] | None = None) -> None:
    """Run, and print or write the table."""
    parser = argparse.ArgumentParser(prog="python -m benchmarks.large_fleet")
    parser.add_argument("--drives", type=int, default=300_000)
    parser.add_argument("--days", type=int, default=45)
    parser.add_argument("--write", action="store_true", help="write docs/speed.md")
    asked = parser.parse_args(arguments)
    with tempfile.TemporaryDirectory(prefix="large-fleet-") as folder:
        lines = list(table_rows(HEADINGS, cells(asked.drives, asked.days, Path(folder)), words=2))
    print("\n".join(lines))  # noqa: T201  (the answer)
    if asked.write:
        write_section("large fleet", lines)


if __name__ == "__main__":
    main()
