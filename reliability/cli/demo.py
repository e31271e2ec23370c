"""`driveyears demo`: the whole job on an invented fleet."""

from __future__ import annotations

from importlib.resources import as_file, files
from pathlib import Path
from typing import Annotated

from cyclopts import Parameter

from reliability.cli.compare import compared, write_lines
from reliability.cli.options import Format
from reliability.cli.output import out, say, write_csv, write_json
from reliability.cli.progress import shown_progress
from reliability.cli.report import write_report
from reliability.errors import QuestionError
from reliability.loaders.load import load
from reliability.loaders.mapping import read_mapping
from reliability.loaders.store import open_store
from reliability.quarter import Quarter

QUARTER = Quarter(2026, 3)
DEFAULT_OUT = Path("demo")


def demo(
    *,
    out_folder: Annotated[
        Path, Parameter(name="--out", help="folder for the store and the report")
    ] = DEFAULT_OUT,
    shown_as: Format = "table",
) -> None:
    """Make a store of an invented fleet, compare it with its datasheets, write its report."""
    with as_file(_data()) as data:
        store = out_folder / "fleet"
        _load(data, store)
        pages = write_report(QUARTER, data / "datasheets.toml", out_folder / "report", store)
        opened = open_store(store)
        lines = compared(opened, data / "datasheets.toml")
    if shown_as == "json":
        write_json({"store": str(store), "page": str(pages[0])})
    elif shown_as == "csv":
        write_csv([{"store": str(store), "page": str(pages[0])}], ["store", "page"])
    else:
        write_lines(lines, opened.silent())
        out().print()
        out().print(
            f"The store is {store}; ask it, for instance: driveyears rates --by model,quarter --store {store}",
            markup=False,
        )
        out().print(f"The report is {pages[0]}: open it in a browser.", markup=False)


def _data() -> Path:
    """The invented fleet: in the package where it is installed, beside it in a checkout."""
    installed = files("reliability") / "demo_data"
    beside = Path(__file__).parents[2] / "data" / "demo"
    for place in (installed, beside):
        if place.is_dir():
            return place  # type: ignore[return-value]  # a folder of the file system in both
    raise QuestionError(
        "The demonstration fleet is not installed with this package; run the demo from a checkout of the project."
    )


def _load(data: Path, store: Path) -> None:
    """Two loads, for the two houses write their readings down in different ways; the log speaks of both."""
    say("driveyears: loading the house's own files, under our own column names")
    with shown_progress() as progress:
        load([str(data / "house")], store, progress=progress)
    say("driveyears: loading lantern's files through a mapping, and the removal log")
    rules = read_mapping(data / "mapping.toml")
    with shown_progress() as progress:
        load(
            [str(data / "lantern")],
            store,
            mapping=rules,
            removals=[str(data / "removals.csv")],
            progress=progress,
        )
