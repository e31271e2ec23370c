"""Measures all cases: `python -m benchmarks [--small] [--case N ...] [--format table|json] [--write]`."""

from __future__ import annotations

import argparse
import compileall
import json
import sys
import tempfile
from pathlib import Path

import reliability
from benchmarks.cases import CASES
from benchmarks.place import FULL, SMALL, TINY, Place
from benchmarks.speed_page import machine, table, write_measured

SIZES = {size.name: size for size in (FULL, SMALL, TINY)}


def main(arguments: list[str] | None = None) -> int:
    """Measure; 1 if a ratio is so far off that no machine explains it, else 0, whether or not goals are kept."""
    asked = _asked(arguments)
    size = SIZES[asked.size]
    # As an installer leaves them. From a checkout they might else be compiled at each start, unlike those of the peers.
    compileall.compile_dir(Path(reliability.__file__).parent, quiet=2)
    with tempfile.TemporaryDirectory(prefix="benchmarks-") as own:
        place = Place(asked.folder or Path(own), size)
        place.folder.mkdir(parents=True, exist_ok=True)
        results = []
        for number in sorted(asked.case or CASES):
            print(f"case {number} ...", file=sys.stderr, flush=True)  # noqa: T201  (progress)
            results += CASES[number](place)
    if asked.format == "json":
        print(json.dumps({"cases": [result.payload() for result in results]}, indent=1))  # noqa: T201  (the answer)
    else:
        print("\n".join([machine(size), "", *table(results)]))  # noqa: T201  (the answer)
    if asked.write:
        write_measured(results, size)
    return int(any(result.broken for result in results))


def _asked(arguments: list[str] | None) -> argparse.Namespace:
    parser = argparse.ArgumentParser(prog="python -m benchmarks", description=__doc__.splitlines()[0])
    parser.add_argument("--size", choices=SIZES, default=FULL.name, help="how much is measured")
    parser.add_argument("--small", action="store_const", dest="size", const=SMALL.name, help="a million rows")
    parser.add_argument("--case", type=int, nargs="+", choices=CASES, help="these cases only")
    parser.add_argument("--format", choices=("table", "json"), default="table")
    parser.add_argument("--write", action="store_true", help="write docs/speed.md")
    parser.add_argument(
        "--folder", type=Path, help="where data are made and kept; by default nothing is kept"
    )
    return parser.parse_args(arguments)


if __name__ == "__main__":
    sys.exit(main())
