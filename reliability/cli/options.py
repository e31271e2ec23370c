"""Options that several commands share, and how their words are read."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import Annotated, Literal

from cyclopts import Parameter

from reliability.errors import QuestionError

Format = Annotated[
    Literal["table", "json", "csv"],
    Parameter(name="--format", help="table for people; json or csv for programs, on standard output"),
]
StoreFolder = Annotated[Path, Parameter(name="--store", help="folder of the store")]
FirstDay = Annotated[str | None, Parameter(name="--from", help="first day of the window, YYYY-MM-DD")]
LastDay = Annotated[str | None, Parameter(name="--to", help="last day of the window, YYYY-MM-DD, included")]
Datasheets = Annotated[
    Path, Parameter(name="--datasheets", help="TOML file of what is stated for each model")
]

DEFAULT_STORE = Path("fleet")


def day(option: str, text: str | None) -> date | None:
    """A day given on the command line. Raises QuestionError if it is none."""
    if text is None:
        return None
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise QuestionError(f"{option} {text} is no day of the calendar; write it as 2026-03-31.") from None
