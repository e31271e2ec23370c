"""Datasheets as the store knows their models, and what is to be said about them."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from reliability.cli.output import say
from reliability.datasheet import Datasheet, read_datasheets
from reliability.loaders.store import Store


def stated_for(store: Store, path: Path) -> tuple[Datasheet, ...]:
    """Read datasheets, under the names that the store shows where theirs is an alias of one.

    Tell where MTBF and AFR disagree.
    """
    sheets = read_datasheets(path)
    for sheet in sheets:
        if sheet.note:
            say(f"driveyears: {sheet.note}")
    return tuple(replace(sheet, model=store.shown_name(sheet.model)) for sheet in sheets)
