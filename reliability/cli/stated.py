"""Datasheets as the store knows their models, and what is to be said about them."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from reliability.cli.output import say
from reliability.datasheet import Datasheet, read_datasheets
from reliability.loaders.spellings import spelt_nearly
from reliability.loaders.store import Store


def stated_for(store: Store, path: Path) -> tuple[Datasheet, ...]:
    """Read datasheets, under the names that the store shows where theirs is a spelling of one.

    Tell where MTBF and AFR disagree, and where a name nearly is one that the store has.
    """
    sheets = read_datasheets(path)
    for sheet in sheets:
        if sheet.note:
            say(f"driveyears: {sheet.note}")
    found = tuple(replace(sheet, model=store.shown_name(sheet.model)) for sheet in sheets)
    for sheet in found:
        meant = None if sheet.model in store.models() else spelt_nearly(sheet.model, store.models())
        if meant is not None:
            say(
                f"driveyears: no drive is of the model {sheet.model!r} of {path}; if {meant!r} is meant, write it so "
                "there, or name one as a spelling of the other in a mapping, under [models]."
            )
    return found
