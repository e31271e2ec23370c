"""`driveyears mapping`: look at a source and propose a mapping for it."""

from __future__ import annotations

import sys
from typing import Annotated

from cyclopts import Parameter

from reliability.cli.options import DEFAULT_STORE, Format, StoreFolder
from reliability.cli.output import say, write_csv, write_json
from reliability.errors import SourceError
from reliability.loaders.proposal import propose
from reliability.loaders.sources import find_sources


def mapping(
    source: Annotated[
        str, Parameter(help="a file of snapshots, or a folder or glob of them: the first is looked at")
    ],
    /,
    *,
    store: StoreFolder = DEFAULT_STORE,  # noqa: ARG001  (every command takes it; this one needs none)
    shown_as: Format = "table",
) -> None:
    """Look at a file, propose a mapping on standard output, and say what could not be placed."""
    found = find_sources([source])
    if not found.files:
        name, reason = found.unusable[0]
        raise SourceError(f"{name} cannot be looked at: {reason}. Name another file.")
    proposal = propose(found.files[0])
    if shown_as == "json":
        write_json(
            {
                "columns": proposal.columns,
                "missing": proposal.missing,
                "unplaced": proposal.unplaced,
                "notes": proposal.notes,
                "mapping": proposal.toml,
            }
        )
    elif shown_as == "csv":
        write_csv(
            [{"column": ours, "source_column": theirs} for ours, theirs in proposal.columns.items()],
            ["column", "source_column"],
        )
    else:
        sys.stdout.write(proposal.toml)
    for name in proposal.missing:
        say(f"driveyears: no column seems to be {name}, which is required: name it under [columns].")
    if proposal.unplaced:
        names = ", ".join(proposal.unplaced)
        say(f"driveyears: not placed, and not read unless named under [columns] or [extra]: {names}.")
    for note in proposal.notes:
        say(f"driveyears: {note}.")
