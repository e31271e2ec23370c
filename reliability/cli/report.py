"""`driveyears report`: the quarterly report, one page and the tables behind it."""

from __future__ import annotations

import shlex
from pathlib import Path
from typing import Annotated

from cyclopts import Parameter

from reliability.cli.options import DEFAULT_STORE, Format, StoreFolder
from reliability.cli.output import out, write_csv, write_json
from reliability.cli.stated import stated_for
from reliability.errors import QuestionError
from reliability.loaders.store import open_store
from reliability.quarter import Quarter
from reliability.report.contents import gather
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


def write_report(quarter: Quarter, datasheets: Path | None, folder: Path, store: Path) -> list[Path]:
    """Write page and tables; the page first.

    Raises what the store, the quarter or the datasheets are wrong with, before a file is touched.
    """
    opened = open_store(store)
    sheets = () if datasheets is None else stated_for(opened, datasheets)
    command = [
        "driveyears",
        "report",
        "--quarter",
        str(quarter),
        *([] if datasheets is None else ["--datasheets", str(datasheets)]),
    ]
    contents = gather(
        opened, sheets, quarter, command=shlex.join([*command, "--out", str(folder), "--store", str(store)])
    )
    texts = {folder / f"{quarter}.html": page(contents)}
    texts |= {folder / "tables" / name: text for name, text in tables(contents).items()}
    try:
        (folder / "tables").mkdir(parents=True, exist_ok=True)
        for path, text in texts.items():
            path.write_text(text, encoding="utf-8")
    except OSError as error:
        raise QuestionError(
            f"The report cannot be written to {folder}: {error.strerror}. Name another folder with --out."
        ) from None
    return list(texts)
