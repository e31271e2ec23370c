"""Datasheets from a TOML file, or one sentence that says everything to mend in it."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import TYPE_CHECKING, Any

from reliability.datasheet.datasheet import Datasheet
from reliability.datasheet.rules import faults_of
from reliability.errors import DatasheetError
from reliability.spelling import folded

if TYPE_CHECKING:
    from os import PathLike

_WAY_OUT = "write a [[datasheet]] table for each model, with model and mtbf_hours or afr_percent"


def read_datasheets(path: str | PathLike[str]) -> tuple[Datasheet, ...]:
    """Datasheets in the order of the file.

    raises  `DatasheetError` if there is no such file, it is not TOML, or has no `[[datasheet]]`, and else one
            that says all faults of all datasheets at once; two spellings of one model are a fault
    """
    tables = _tables(path, _parsed(path))
    first: dict[str, int] = {}
    told = []
    for number, table in enumerate(tables, 1):
        faults = faults_of(table)
        name = table.get("model")
        if isinstance(name, str) and (earlier := first.setdefault(folded(name), number)) != number:
            faults.append(f"it is the same model as [[datasheet]] {earlier}, keep one of them")
        if faults:
            told.append(f"[[datasheet]] {number} ({name or 'no model'}): {', and '.join(faults)}")
    if told:
        raise DatasheetError(f"{path} cannot be used: {'; '.join(told)}.")
    return tuple(Datasheet(**table) for table in tables)


def _parsed(path: str | PathLike[str]) -> dict[str, Any]:
    try:
        return tomllib.loads(Path(path).read_text(encoding="utf-8-sig"))
    except OSError as error:
        raise DatasheetError(
            f"{path} cannot be read ({error.strerror}); give the path of a TOML file of datasheets."
        ) from None
    except ValueError as error:  # not TOML, or not even UTF-8
        raise DatasheetError(f"{path} is not TOML ({error}); {_WAY_OUT}.") from None


def _tables(path: str | PathLike[str], content: dict[str, Any]) -> list[dict[str, Any]]:
    tables = content.get("datasheet")
    others = sorted(content.keys() - {"datasheet"})
    if others:
        raise DatasheetError(
            f"{path} holds {', '.join(others)} beside its datasheets; {_WAY_OUT}, and nothing else."
        )
    if not isinstance(tables, list) or not tables or not all(isinstance(table, dict) for table in tables):
        raise DatasheetError(f"{path} has no [[datasheet]]; {_WAY_OUT}.")
    return tables
