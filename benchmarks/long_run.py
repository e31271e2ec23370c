"""One long run: a fleet loaded month by month until the store holds 100 million rows.

`python -m benchmarks.long_run [--sizes 1,3,10,30,100] [--write]`, sizes in millions of rows. Each month is generated,
loaded, and its CSV deleted, so the disk holds the store and a month. What each size costs goes into docs/speed.md.
"""

from __future__ import annotations

import argparse
import sys
import tempfile
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

import matplotlib as mpl
from matplotlib.figure import Figure
from matplotlib.ticker import NullFormatter

from benchmarks.fleet import FULL, months
from benchmarks.measure import DRIVEYEARS, Run, module, run
from benchmarks.speed_page import rows as table_rows
from benchmarks.speed_page import write_section

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from benchmarks.fleet import Plan

MILLION = 1_000_000
ROWS_A_DAY = 0.6  # for each drive of the fleet, at the least: how many days it takes to reach a size
FIGURE = Path(__file__).parents[1] / "docs" / "speed.svg"
_HEADROOM = 1.15
HEADINGS = (
    "Rows (millions)",
    "Months",
    "All loads (s)",
    "Per row (µs)",
    "Last load, per row (µs)",
    "Peak memory (MB)",
    "Store (MB)",
    "`driveyears rates` (s)",
)


@dataclass(frozen=True, slots=True)
class Reached:
    """What it took to fill a store so far."""

    rows: int
    months: int
    seconds: float  # of all loads
    last_seconds: float  # of the last month's load
    last_rows: int
    megabytes: float  # the most that a load held
    store_megabytes: float
    rates_seconds: float

    @property
    def per_row(self) -> float:
        """Microseconds a row, over all loads."""
        return MILLION * self.seconds / self.rows

    @property
    def last_per_row(self) -> float:
        """Microseconds a row of the last month, with a store as full as this."""
        return MILLION * self.last_seconds / self.last_rows


def long_run(plan: Plan, sizes: Sequence[float], folder: Path) -> Iterator[Reached]:
    """Load month after month, and tell at the first month's end at which each size is reached."""
    store, file = folder / "store", folder / "month"
    wanted = sorted(sizes)
    rows, seconds, megabytes = 0, 0.0, 0.0
    for number, (month, _) in enumerate(months(plan), start=1):
        came = _generate(plan, month, file)
        loaded = run(*DRIVEYEARS, "load", file, "--store", store)
        (file / f"{month}.csv").unlink()
        rows, seconds, megabytes = rows + came, seconds + loaded.seconds, max(megabytes, loaded.megabytes)
        if rows < wanted[0] * MILLION:
            continue
        wanted = [size for size in wanted if size * MILLION > rows]
        held = sum(each.stat().st_size for each in store.rglob("*") if each.is_file()) / MILLION
        asked = run(*DRIVEYEARS, "rates", "--store", store)
        yield Reached(rows, number, seconds, loaded.seconds, came, megabytes, held, asked.seconds)
        if not wanted:
            return


def _generate(plan: Plan, month: str, folder: Path) -> int:
    options = ("--drives", str(plan.drives), "--days", str(plan.days), "--month", month)
    told: Run = run(*module("fleet", folder, *options))
    return int(told.told["rows"])


def lines(reached: Sequence[Reached]) -> Iterator[str]:
    """Give the table, and the figure's place."""
    cells = [
        (
            f"{each.rows / MILLION:.1f}",
            str(each.months),
            f"{each.seconds:,.0f}",
            f"{each.per_row:.2f}",
            f"{each.last_per_row:.2f}",
            f"{each.megabytes:,.0f}",
            f"{each.store_megabytes:,.0f}",
            f"{each.rates_seconds:.2f}",
        )
        for each in reached
    ]
    yield from table_rows(HEADINGS, cells, words=0)
    yield from ("", f"![Cost of a row and peak memory against the rows in the store]({FIGURE.name})")


def draw(reached: Sequence[Reached], file: Path) -> None:
    """Draw cost and memory against size."""
    figure = Figure(figsize=(8, 3.2), layout="constrained")
    sizes = [each.rows / MILLION for each in reached]
    costs = ([each.per_row for each in reached], [each.last_per_row for each in reached])
    for axes, curves, label in zip(
        figure.subplots(1, 2),
        (costs, ([each.megabytes for each in reached],)),
        ("microseconds a row", "peak memory, MB"),
        strict=True,
    ):
        for curve, name in zip(curves, ("all loads", "the last month's load"), strict=False):
            axes.plot(sizes, curve, marker="o", label=name)
        axes.set_xscale("log")
        axes.set_xticks(sizes, [f"{size:.3g}" for size in sizes])
        axes.xaxis.set_minor_formatter(NullFormatter())
        axes.set_ylim(0, _HEADROOM * max(map(max, curves)))
        axes.set_xlabel("million rows in the store")
        axes.set_title(label, loc="left", fontsize=10)
        axes.spines[["top", "right"]].set_visible(False)
        if len(curves) > 1:
            axes.legend(frameon=False, loc="lower left")
    with mpl.rc_context({"svg.fonttype": "none", "svg.hashsalt": "speed"}):
        figure.savefig(file, metadata={"Date": None})


def main(arguments: list[str] | None = None) -> None:
    """Run, and print or write what was reached."""
    parser = argparse.ArgumentParser(prog="python -m benchmarks.long_run")
    parser.add_argument("--sizes", default="1,3,10,30,100", help="millions of rows at which it is told")
    parser.add_argument("--drives", type=int, default=FULL.drives)
    parser.add_argument("--write", action="store_true", help="write docs/speed.md and its figure")
    asked = parser.parse_args(arguments)
    sizes = [float(size) for size in asked.sizes.split(",")]
    days = int(max(sizes) * MILLION / (ROWS_A_DAY * asked.drives)) + 62
    plan = replace(FULL, drives=asked.drives, days=days)
    reached = []
    with tempfile.TemporaryDirectory(prefix="long-run-") as folder:
        for each in long_run(plan, sizes, Path(folder)):
            print(each, file=sys.stderr, flush=True)  # noqa: T201  (progress)
            reached.append(each)
    print("\n".join(lines(reached)))  # noqa: T201  (the answer)
    if asked.write:
        draw(reached, FIGURE)
        write_section("long run", lines(reached))


if __name__ == "__main__":
    main()
