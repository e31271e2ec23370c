"""What a store holds of each model, asked in a handful of questions."""

from __future__ import annotations

from typing import TYPE_CHECKING, Protocol

from reliability.rate import Rate
from reliability.report.model_lines import LABELS, Seen

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from datetime import date

    from reliability.comparer.running import Fixed
    from reliability.loaders.exposure import Exposure
    from reliability.loaders.reasons import Retirements


class Counts(Protocol):
    """What is asked of a store."""

    @property
    def first_day(self) -> date:
        """The first day of the data."""

    def exposure(
        self, by: Sequence[str] = ..., first_day: date | None = ..., last_day: date | None = ...
    ) -> Exposure:
        """Drive-days and failures by cell within a window of days."""

    def retirements(
        self, first_day: date | None = ..., last_day: date | None = ...
    ) -> tuple[Retirements, ...]:
        """Lives retired in a window of days, by model and by what their reasons tell."""


def seen_of(  # noqa: PLR0913  (the last three have defaults that fit)
    store: Counts,
    models: Exposure,
    vanished: Mapping[str, int],
    *,
    fixed: Mapping[str, Fixed],
    pace: Mapping[str, float] | None = None,
    last_day: date | None = None,
) -> list[Seen]:
    """Everything seen of each model up to a day; without one, to the end of the data.

    models    failures and exposure by model, of all days up to it
    vanished  drives that vanished by then, by model
    fixed     the running comparisons that have begun, by model
    pace      drive-years gathered in the last quarter, by model
    """
    groups = {label: _groups(store, label, last_day) for label in LABELS}
    retired = {each.model: each for each in store.retirements(last_day=last_day)}
    rates = {str(cell.labels["model"]): cell.rate for cell in models.cells}
    begun = {model: fixed[model] for model in rates if model in fixed}
    pulled = _pulled_since(store, begun, last_day)
    since = _since(store, rates, begun, last_day)
    return [
        Seen(
            model=model,
            drives=cell.drives,
            rate=cell.rate,
            vanished=vanished.get(model, 0),
            pace=(pace or {}).get(model, 0.0),
            groups={label: groups[label].get(model, ()) for label in LABELS},
            running=(fixed[model], since[model]) if model in since else None,
            pulled_since=pulled.get(model, 0),
            preemptive=retired[model].preemptive if model in retired else 0,
            unclear=retired[model].unclear if model in retired else (),
        )
        for cell in models.cells
        for model in (str(cell.labels["model"]),)
    ]


def _groups(store: Counts, label: str, last_day: date | None) -> dict[str, list[Rate]]:
    found: dict[str, list[Rate]] = {}
    for cell in store.exposure(("model", label), last_day=last_day).cells:
        if cell.labels[label] is not None:
            found.setdefault(str(cell.labels["model"]), []).append(cell.rate)
    return found


def _pulled_since(store: Counts, begun: Mapping[str, Fixed], last_day: date | None) -> dict[str, int]:
    """Retirements for warning signs since each running comparison began."""
    pulled: dict[str, int] = {}
    for day in {each.since for each in begun.values()}:
        found = {each.model: each.preemptive for each in store.retirements(day, last_day)}
        pulled |= {model: found.get(model, 0) for model, each in begun.items() if each.since == day}
    return pulled


def _since(
    store: Counts, rates: Mapping[str, Rate], fixed: Mapping[str, Fixed], last_day: date | None
) -> dict[str, Rate]:
    """What each running comparison has counted; all of it, if it began with the data."""
    counted = dict.fromkeys(fixed, Rate(0, 0))
    for day in {each.since for each in fixed.values()}:
        if day <= store.first_day:
            found = rates
        elif last_day is not None and day > last_day:
            continue  # the report is on a quarter before it began
        else:
            cells = store.exposure(("model",), first_day=day, last_day=last_day).cells
            found = {str(cell.labels["model"]): cell.rate for cell in cells}
        counted |= {model: found[model] for model in fixed if fixed[model].since == day and model in found}
    return counted
