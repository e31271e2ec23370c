"""Small files, the stores made of them, and what such a store says, in a form that can be compared.

>>> print(csv_of(rows("A", [0, 1], failed={1: "1"})), end="")
date,serial,model,failed
2025-03-01,A,TARN T18,
2025-03-02,A,TARN T18,1
"""

from __future__ import annotations

import csv
import hashlib
import io
import json
from dataclasses import dataclass
from datetime import date, timedelta
from typing import TYPE_CHECKING, Any

import pyarrow.parquet as pq

from reliability.cli.main import main

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence
    from pathlib import Path

    import pytest

FIRST = date(2025, 3, 1)
Rows = list[dict[str, str]]


def good(serial: str) -> str:
    """Write a file of two drives: this one on two days, and B on the first of them."""
    return f"date,serial,model\n{day(0)},{serial},TARN T18\n{day(1)},{serial},TARN T18\n{day(0)},B,TARN T18\n"


def day(number: int) -> str:
    """Write the day with a number, 0 the first of March 2025."""
    return (FIRST + timedelta(days=number)).isoformat()


GOOD = good("A")


def rows(serial: str, days: Iterable[int], model: str = "TARN T18", **cells: str | dict[int, str]) -> Rows:
    """One row a day; a cell is a text for all days, or a dict from a day's number to its text."""
    return [
        {"date": day(number), "serial": serial, "model": model}
        | {name: cell if isinstance(cell, str) else cell.get(number, "") for name, cell in cells.items()}
        for number in days
    ]


def csv_of(*histories: Rows, delimiter: str = ",") -> str:
    """Rows as CSV; a column that a row lacks is an empty cell."""
    together = [row for history in histories for row in history]
    columns = list(dict.fromkeys(name for row in together for name in row))
    text = io.StringIO()
    writer = csv.DictWriter(text, columns, restval="", lineterminator="\n", delimiter=delimiter)
    writer.writeheader()
    writer.writerows(together)
    return text.getvalue()


def put(path: Path, content: str | bytes) -> Path:
    """Write a file as it is, folders and all."""
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(content.encode() if isinstance(content, str) else content)
    return path


@dataclass(frozen=True, slots=True)
class Said:
    """What a command said."""

    code: int
    out: str
    err: str

    @property
    def json(self) -> Any:  # noqa: ANN401  (whatever JSON holds)
        """Standard output, read as strict JSON."""
        return json.loads(self.out, parse_constant=_refuse)


def _refuse(name: str) -> None:
    raise ValueError(f"{name} is no JSON")


def said(capsys: pytest.CaptureFixture[str], *arguments: object) -> Said:
    """Run a command."""
    capsys.readouterr()
    code = main([str(argument) for argument in arguments])
    return Said(code, *capsys.readouterr())


def loaded(capsys: pytest.CaptureFixture[str], store: Path, *arguments: object) -> dict[str, Any]:
    """Load, which has to go well, and give what was counted; what was set aside and why under `told`."""
    found = said(capsys, "load", *arguments, "--store", store, "--format", "json")
    assert found.code == 0, found.err
    return {**found.json, "told": found.err}


def refused(
    capsys: pytest.CaptureFixture[str], folder: Path, *arguments: object, naming: Sequence[str]
) -> None:
    """Run a command that has to be refused in one sentence that names these, with nothing changed in the folder."""
    before = fingerprint(folder)
    found = said(capsys, *arguments)
    assert (found.code, found.out) == (2, ""), found
    assert found.err.startswith("driveyears: ")
    assert found.err.count("\n") == 1, "one sentence for people, on one line"
    assert found.err.endswith((".\n", "?\n"))
    for name in naming:
        assert name in found.err, found.err
    assert fingerprint(folder) == before


def fingerprint(folder: Path) -> dict[str, str]:
    """Every file and folder below a folder, with the digest of its content."""
    return {
        path.relative_to(folder).as_posix(): ""
        if path.is_dir()
        else hashlib.sha256(path.read_bytes()).hexdigest()
        for path in sorted(folder.rglob("*"))
    }


def manifest(store: Path) -> dict[str, Any]:
    """The manifest, which alone says what belongs to a store."""
    found: dict[str, Any] = json.loads((store / "manifest.json").read_text(encoding="utf-8"))
    return found


def table(store: Path, name: str) -> list[dict[str, Any]]:
    """Give a table of a store as rows; none if it has no such table."""
    tables = manifest(store)["tables"]
    found: list[dict[str, Any]] = pq.read_table(store / tables[name]).to_pylist() if name in tables else []
    return found


def stays(store: Path) -> list[dict[str, Any]]:
    """The stays of all months."""
    months = manifest(store)["months"].values()
    return [row for month in months for row in pq.ParquetFile(store / month["stays"]).read().to_pylist()]


def rejects(store: Path) -> list[tuple[int, str | None, str | None, str]]:
    """The rejected rows: line, column, value, reason."""
    found = [(r["line"], r["column_name"], r["value"], r["reason"]) for r in table(store, "rejects")]
    return sorted(found, key=lambda row: row[0])


def everything(store: Path) -> dict[str, list[str]]:
    """All that a store says of its drives, in an order of its own: equal stores say the same."""
    names = ("lives", "checks", "whereabouts", "days_collected", "removals")
    tables = {name: table(store, name) for name in names} | {"stays": stays(store)}
    return {name: sorted(_line(row) for row in found) for name, found in tables.items()}


def lives(store: Path, serial: str | None = None) -> list[tuple[Any, ...]]:
    """Lives as (serial, first day's number, last day's number, outcome), in order."""
    return sorted(
        (r["serial"], (r["first_day"] - FIRST).days, (r["last_day"] - FIRST).days, r["outcome"])
        for r in table(store, "lives")
        if serial is None or r["serial"] == serial
    )


def _line(row: Mapping[str, Any]) -> str:
    return ", ".join(f"{name} {value}" for name, value in sorted(row.items()))
