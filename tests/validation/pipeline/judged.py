"""What the package makes of one dirty fleet: its verdicts at the end, and at every look before."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta
from typing import TYPE_CHECKING

from fleets import mapping_toml, write_files, write_log

from reliability.cli.compare import compared
from reliability.loaders.load import load
from reliability.loaders.mapping import read_mapping
from reliability.loaders.store import Store, open_store
from validation.pipeline.fates import RATE

if TYPE_CHECKING:
    from pathlib import Path

    from fleets import Fleet

    from reliability.rate import Rate
    from reliability.report.model_lines import ModelLine

DAYS_BETWEEN_LOOKS = 30


@dataclass(frozen=True, slots=True)
class Judged:
    """One model of one fleet; the rate that its datasheet states is true.

    told      failures of which somebody was told
    line      how the package counted and judged it, at the end
    looks     what it had counted after every 30 days, and at the end
    gone      drives that were retired or vanished
    """

    model: str
    told: int
    line: ModelLine
    looks: tuple[Rate, ...]
    gone: int


def judged(fleet: Fleet, told: dict[str, int], folder: Path) -> list[Judged]:
    """Write a fleet's files, load them, compare with datasheets that state the true rate."""
    store = _loaded(fleet, folder)
    sheets = folder / "datasheets.toml"
    stated = f"afr_percent = {100 * RATE}\n"
    sheets.write_text(
        "".join(f'[[datasheet]]\nmodel = "{model}"\n{stated}' for model in told), encoding="utf-8"
    )
    looks = _looks(store)
    gone = {each.model: each.retired + each.vanished for each in store.outcomes()}
    return [
        Judged(
            line.datasheet.model, told[line.datasheet.model], line, tuple(looks[line.model]), gone[line.model]
        )
        for line in compared(store, sheets)
        if line.datasheet is not None and line.seen.rate.drive_days
    ]


def _loaded(fleet: Fleet, folder: Path) -> Store:
    files = [str(path) for path in write_files(fleet.files, folder / "source")]
    mapping = folder / "mapping.toml"
    mapping.write_text(mapping_toml(fleet.aliases, fleet.failure), encoding="utf-8")
    log = write_log(fleet.log, folder / "log.csv")
    load(files, folder / "store", mapping=read_mapping(mapping), removals=[str(log)])
    return open_store(folder / "store")


def _looks(store: Store) -> dict[str, list[Rate]]:
    """Each model's counts, look by look."""
    found: dict[str, list[Rate]] = {}
    day = store.first_day
    while day < store.last_day:
        day = min(day + timedelta(days=DAYS_BETWEEN_LOOKS), store.last_day)
        for cell in store.exposure(("model",), None, day).cells:
            found.setdefault(str(cell.labels["model"]), []).append(cell.rate)
    return found
