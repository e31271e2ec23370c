"""docs/speed.md: what was measured, on which machine, when, with which versions."""

from __future__ import annotations

import os
import platform
import re
from datetime import UTC, datetime
from importlib.metadata import version
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

    from benchmarks.place import Size
    from benchmarks.result import Result

PAGE = Path(__file__).parents[1] / "docs" / "speed.md"
LIBRARIES = ("duckdb", "numpy", "scipy", "polars", "lifelines", "matplotlib")
HEADINGS = (
    "Case",
    "Ours",
    "Against",
    "Ratio",
    "Goal",
    "Holds",
    "Ours (s)",
    "Peer (s)",
    "Ours (MB)",
    "Peer (MB)",
)
BYTES_PER_GB = 10**9
_SMALL = 0.05  # below which a ratio is told as a part


def machine(size: Size) -> str:
    """Where and when, in a paragraph."""
    memory = os.sysconf("SC_PAGE_SIZE") * os.sysconf("SC_PHYS_PAGES") / BYTES_PER_GB
    libraries = ", ".join(f"{name} {version(name)}" for name in LIBRARIES)
    return (
        f"Measured on {datetime.now(UTC):%Y-%m-%d} on {os.cpu_count()} cores ({_processor()}) with {memory:.0f} GB, "
        f"{platform.system()}, Python {platform.python_version()}, {libraries}. "
        f"Size {size.name}: {size.drives:,} drives of 430 days, {size.lives:,} lives of {size.models} models; "
        f"medians of {size.repeats} runs in turns. "
        f"The machine's load was {os.getloadavg()[-1]:.1f} in the last quarter of an hour, this included."
    )


def _processor() -> str:
    info = Path("/proc/cpuinfo")
    found = re.search(r"model name\s*:\s*(.+)", info.read_text(encoding="utf-8")) if info.exists() else None
    return found[1] if found else platform.machine()


def table(results: Sequence[Result]) -> Iterator[str]:
    """Give the lines of a Markdown table, and below it what is to be said of single rows."""
    yield from rows(HEADINGS, [_cells(result) for result in results], words=3)
    for each in results:
        if each.note:
            yield from ("", f"Case {each.goal.case}, {each.goal.step} against {each.goal.peer}: {each.note}.")


def rows(headings: Sequence[str], cells: Iterable[Sequence[str]], *, words: int) -> Iterator[str]:
    """Give a Markdown table; its first columns are words, the others numbers."""
    yield f"| {' | '.join(headings)} |"
    yield f"| {' | '.join(['---'] * words + ['---:'] * (len(headings) - words))} |"
    for row in cells:
        yield f"| {' | '.join(row)} |"


def _cells(result: Result) -> tuple[str, ...]:
    holds = {True: "yes", False: "no", None: ""}[result.holds]
    seconds = (_number(result.ours_s), _number(result.peer_s))
    megabytes = ("" if value is None else f"{value:,.0f}" for value in (result.ours_mb, result.peer_mb))
    asked, ratio = result.goal, _ratio(result.ratio)
    return (str(asked.case), asked.step, asked.peer, ratio, _ratio(asked.ratio), holds, *seconds, *megabytes)


def _ratio(value: float | None) -> str:
    return f"1/{1 / value:,.0f}" if value is not None and 0 < value < _SMALL else _number(value)


def _number(value: float | None) -> str:
    return "" if value is None else f"{value:.3g}" if value < 1 else f"{value:.2f}"


def write_measured(results: Sequence[Result], size: Size) -> None:
    """Put the table into the page, in place of the one before."""
    write_section("measured", [machine(size), "", *table(results)])


def write_section(name: str, lines: Iterable[str]) -> None:
    """Replace what stands in the page between `<!-- name -->` and `<!-- end of name -->`."""
    begin, end = f"<!-- {name} -->", f"<!-- end of {name} -->"
    before, _, rest = PAGE.read_text(encoding="utf-8").partition(begin)
    _, _, after = rest.partition(end)
    PAGE.write_text("\n".join([before + begin, "", *lines, "", end + after]), encoding="utf-8")
