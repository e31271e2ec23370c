"""Snapshots -> stays, a month at a time: made of what came, merged with what was there, settled where it is awkward."""

from __future__ import annotations

from typing import TYPE_CHECKING, Protocol

import pyarrow.compute as pc
import pyarrow.parquet as pq

from reliability.loaders.awkward import ASKED, awkward_serials
from reliability.loaders.manifest import MonthEntry
from reliability.loaders.merging import merge
from reliability.loaders.spellings import spellings

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping, Sequence
    from pathlib import Path

    from reliability.loaders.engine import Engine
    from reliability.loaders.progress import Progress
    from reliability.loaders.workplace import Workplace


class Snapshots(Protocol):
    """What the making of stays asks of the place where the snapshots lie."""

    def sum_up(
        self, place: Workplace, parts: Mapping[str, Sequence[str]], progress: Progress
    ) -> Iterator[tuple[str, list[Path]]]:
        """Each month of `parts` with files of their stays; of one stay several rows, where its days are in several."""

    def settle(self, place: Workplace, month: str, parts: Sequence[str]) -> None:
        """Make `settled_stays` and `new_repeats` of the drives in `awkward`, from all parts of the month."""


def settle(engine: Engine, parts: Iterable[Path]) -> None:
    """Make `settled_stays` and `new_repeats` of the drives in `awkward`, from parts that the engine itself can read."""
    engine.view("snapshot_rows", parts)
    engine.make("snapshots", "awkward_snapshots")
    engine.make("new_repeats", "repeats")
    engine.make("settled_snapshots")
    engine.rename("settled_snapshots", "snapshots")
    engine.make("settled_stays", "stays")


def reduce_month(  # noqa: PLR0913  (each is one thing that the month is made of)
    place: Workplace,
    ground: Snapshots,
    month: str,
    summaries: Sequence[Path],
    *,
    parts: Sequence[str],
    before: MonthEntry | None,
    models: Mapping[str, list[str]],
) -> MonthEntry:
    """Make the stays of one month.

    ground     where the snapshots lie
    summaries  files of stays that were not there yet
    parts      all parts of the month, to which the awkward drives go back
    before     the month as it was; None: there is nothing but the summaries
    models     the alias table
    """
    all_summaries = [*summaries, *(place.files([before.stays]) if before is not None else [])]
    file = merge(all_summaries, place.aside / "merged.parquet", place.rows_at_once)
    repeats = before.repeats if before is not None else None
    name = f"stays/month={month}/stays"
    asked = pq.ParquetFile(file).read(ASKED)
    read = sorted(pc.unique(asked["model_read"]).to_pylist())
    key_of = {spelling.read: spelling.key for spelling in spellings(read, models)}
    awkward = awkward_serials(asked, key_of)
    if not awkward:
        return MonthEntry(place.adopt(file, name), repeats, read)
    engine = place.engine
    engine.view("stays", [file])
    engine.hold_like("spellings", list(key_of.items()))
    engine.hold_like("awkward", [(serial,) for serial in awkward])
    repeats = _settle_month(place, ground, parts, before, month)
    return MonthEntry(place.write("stays", name, order="serial, model_read, site, month"), repeats, read)


def _settle_month(
    place: Workplace, ground: Snapshots, parts: Sequence[str], before: MonthEntry | None, month: str
) -> str | None:
    """Replace the stays of the awkward drives by those of their settled snapshots, and list who reported twice."""
    engine = place.engine
    engine.rename("stays", "plain_stays")
    ground.settle(place, month, parts)
    engine.make("stays", "replaced_stays")
    engine.view(
        "repeats_before", place.files([before.repeats] if before is not None and before.repeats else [])
    )
    engine.make("repeats", "merged_repeats")
    if not engine.count("repeats"):
        return None
    return place.write(
        "repeats", f"stays/month={month}/repeats", order="code, serial, model_read, first_day, detail"
    )
