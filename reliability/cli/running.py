"""The running comparisons of a store: which have begun, and what the first report fixes for those that have not."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date

from reliability.comparer.running import Fixed, Mixture
from reliability.datasheet import Datasheet
from reliability.errors import StoreError
from reliability.loaders.manifest import Running, fix_running
from reliability.loaders.store import Store
from reliability.spelling import folded


@dataclass(frozen=True, slots=True)
class Begun:
    """What is fixed for each model; `note` says why some of it could not be kept, and is None if all of it was."""

    fixed: Mapping[str, Fixed]
    note: str | None = None


def begun(store: Store) -> dict[str, Fixed]:
    """What reports have fixed so far, by model."""
    return {model: _as_fixed(each) for model, each in store.running().items()}


def begin(store: Store, sheets: Iterable[Datasheet], level: float) -> Begun:
    """Fix a running comparison for every model of the store that has none, and keep it in the store.

    It begins with the store's first day, is centred on the stated rate, and has the report's level: a rule that looks
    at no failure. If the store cannot be written to, the rule holds for this report alone.
    """
    known = store.running()
    stated = {folded(sheet.model): sheet.stated_rate for sheet in sheets}
    wanted = {
        model: _as_running(store.first_day, stated.get(folded(model)), level)
        for model in store.models()
        if model not in known
    }
    if not wanted:
        return Begun(begun(store))
    try:
        kept = Store(store.folder, fix_running(store.folder, wanted))
    except StoreError as error:
        return Begun(
            {model: _as_fixed(each) for model, each in {**wanted, **known}.items()},
            f"What the running comparison fixes could not be kept, so it holds for this report alone. {error}",
        )
    return Begun(begun(kept))


def _as_running(start: date, stated: float | None, level: float) -> Running:
    mixture = Mixture.centred_on(stated, level)
    return Running(start.isoformat(), mixture.shape, mixture.drive_years, mixture.level, stated)


def _as_fixed(each: Running) -> Fixed:
    mixture = Mixture(each.prior_shape, each.prior_drive_years, each.level)
    return Fixed(date.fromisoformat(each.start), mixture, each.stated_rate)
