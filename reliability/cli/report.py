"""`driveyears report`: the quarterly report, one page and the tables behind it."""

from __future__ import annotations

import shlex
from pathlib import Path
from typing import Annotated

from cyclopts import Parameter

from reliability.cli.options import DEFAULT_STORE, Format, StoreFolder
from reliability.cli.output import out, say, write_csv, write_json
from reliability.cli.running import begin
from reliability.cli.stated import stated_for
from reliability.errors import QuestionError
from reliability.loaders.store import Store, open_store
from reliability.quarter import Quarter
from reliability.report.contents import LEVEL, check_quarter, gather
from reliability.report.page import page
from reliability.report.tables import tables

DEFAULT_OUT = Path("report")


def report(
    *,
    quarter: Annotated[str, Parameter(help="the quarter to report on, such as 2026Q3")],
    datasheets: Annotated[
        Path | None, Parameter(name="--datasheets", help="TOML file of what is stated for each model")
    ] = None,
    out_folder: Annotated[
        Path, Parameter(name="--out", help="folder for the page and its tables")
    ] = DEFAULT_OUT,
    store: StoreFolder = DEFAULT_STORE,
    shown_as: Format = "table",
) -> None:
    """Write the report on a quarter: one self-contained HTML page, and the tables behind it as CSV."""
    files = write_report(Quarter.parse(quarter), datasheets, out_folder, store)
    if shown_as == "json":
        write_json({"page": str(files[0]), "tables": [str(file) for file in files[1:]]})
    elif shown_as == "csv":
        write_csv([{"file": str(file)} for file in files], ["file"])
    else:
        out().print(f"Page: {files[0]}", markup=False)
        out().print(f"Tables behind it: {files[0].parent / 'tables'}", markup=False)
        _tell_incomplete(open_store(store), Quarter.parse(quarter))


def _tell_incomplete(store: Store, quarter: Quarter) -> None:
    if store.first_day > quarter.first_day or store.last_day < quarter.last_day:
        out().print(f"{quarter} is not complete: the data go from {store.first_day} to {store.last_day}.")


def write_report(quarter: Quarter, datasheets: Path | None, folder: Path, store: Path) -> list[Path]:
    """Write page and tables; the page first.

    Raises what the store, the quarter or the datasheets are wrong with, before a file is touched. The first report
    on a model begins its running comparison, which the store keeps.
    """
    opened = open_store(store)
    check_quarter(quarter, opened.first_day, opened.last_day)
    sheets = () if datasheets is None else stated_for(opened, datasheets)
    command = [
        "driveyears",
        "report",
        "--quarter",
        str(quarter),
        *([] if datasheets is None else ["--datasheets", str(datasheets)]),
    ]
    _make(folder / "tables", folder)
    running = begin(opened, sheets, LEVEL)
    if running.note is not None:
        say(f"driveyears: {running.note}")
    contents = gather(
        opened,
        sheets,
        quarter,
        command=shlex.join([*command, "--out", str(folder), "--store", str(store)]),
        running=running.fixed,
        note=running.note,
    )
    texts = {folder / f"{quarter}.html": page(contents)}
    texts |= {folder / "tables" / name: text for name, text in tables(contents).items()}
    for path, text in texts.items():
        _write(path, text, folder)
    return list(texts)


def _make(place: Path, folder: Path) -> None:
    try:
        place.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise _cannot_be_written(folder, error) from None


def _write(path: Path, text: str, folder: Path) -> None:
    try:
        path.write_text(text, encoding="utf-8")
    except OSError as error:
        raise _cannot_be_written(folder, error) from None


def _cannot_be_written(folder: Path, error: OSError) -> QuestionError:
    return QuestionError(
        f"The report cannot be written to {folder}: {error.strerror}. Name another folder with --out."
    )
