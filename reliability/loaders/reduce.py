"""Snapshots -> stays -> lives: only the months that are new, on top of what the months before them left.

A month's stays are made from the snapshots that came, and merged into those that were there. The months are
then added up in two steps: the older ones once, into a checkpoint; the last two each time anew, since days
still come for them. So the cost of a new day does not grow with the years before it. When an older month
changes, or the outages of its sites do, all months are added up again from their stays.
"""

from __future__ import annotations

import calendar
import hashlib
import json
from datetime import date, timedelta
from typing import TYPE_CHECKING, Protocol

from reliability.loaders.day_rules import (
    BRIDGE_DAYS,
    LISTED_GAP_DAYS,
    LOG_DAYS,
    REAPPEAR_DAYS,
    VANISH_DAYS,
)
from reliability.loaders.engine import QUERIES, STATE_TYPES
from reliability.loaders.manifest import Checkpoint, Manifest, MonthEntry
from reliability.loaders.spellings import near_spellings, spellings
from reliability.loaders.stored_stays import merge

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping, Sequence
    from pathlib import Path

    from reliability.loaders.engine import Engine
    from reliability.loaders.progress import Progress
    from reliability.loaders.workplace import Workplace

OPEN_MONTHS = 2  # the last months, for which days still come
MONTHS_AT_ONCE = 6  # of the older ones: each takes memory, and each time costs what a load costs

MONTH_STEPS = (
    "named_stays",
    "failures",
    "drive_months",
    "counted_months",
    "drives",
    "pieces",
    "absences_within",
    "stretches",
    "unbroken",
    "steps",
    "stints",
    "absences",
    "hour_steps",
    "double_days",
)
PASSED_ON = ("drive_months", "pieces")  # row by row into what asks for them, and not kept
CARRIED = ("presence", "drives", "stints", "absences", "hour_steps", "double_days")
SPELLING_COLUMNS = "model_read string, model_key string"


class Ground(Protocol):
    """What the reduction asks of the place where the snapshots lie."""

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
    ground: Ground,
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
    engine = place.engine
    all_summaries = [*summaries, *(place.files([before.stays]) if before is not None else [])]
    at_hand = merge(engine, all_summaries, place.aside, place.rows_at_once)
    read = [name for (name,) in engine.ask("models_read")]
    engine.hold("spellings", SPELLING_COLUMNS, [(s.read, s.key) for s in spellings(read, models)])
    engine.make("awkward")
    repeats = before.repeats if before is not None else None
    name = f"stays/month={month}/stays"
    if engine.count("awkward"):
        repeats = _settle_month(place, ground, parts, before, month)
    elif at_hand is not None:
        return MonthEntry(place.adopt(at_hand, name), repeats, read)
    return MonthEntry(place.write("stays", name, order="serial, model_read, site, month"), repeats, read)


def _settle_month(
    place: Workplace, ground: Ground, parts: Sequence[str], before: MonthEntry | None, month: str
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


def make_lives(
    place: Workplace, manifest: Manifest, touched: Iterable[str]
) -> tuple[dict[str, str], Checkpoint | None]:
    """Lives, whereabouts, checks and days collected of the whole store; and the checkpoint to carry on from.

    `touched` are the months whose stays changed.
    """
    engine = place.engine
    _name_models(place, manifest)
    carried = _usable_checkpoint(place, manifest, set(touched))
    closing = [m for m in sorted(manifest.months)[:-OPEN_MONTHS] if carried is None or m > carried.through]
    if closing:
        _carry_on(place, carried)
        for begin in range(0, len(closing), MONTHS_AT_ONCE):
            if begin:
                _carry_further(place)
            _add_months(place, manifest, closing[begin : begin + MONTHS_AT_ONCE])
            engine.make("presence")
        carried = _checkpoint(place, manifest, closing[-1])
    _carry_on(place, carried)
    _add_months(
        place, manifest, [m for m in sorted(manifest.months) if carried is None or m > carried.through]
    )
    _end_lives(place, manifest)
    engine.make("lives_out")
    engine.make("whereabouts_out")
    engine.make("checks_out")
    tables = {
        "days_collected": place.write("days_collected", "days_collected", order="site, month"),
        "lives": place.write("lives_out", "lives"),
        "whereabouts": place.write("whereabouts_out", "whereabouts"),
        "checks": place.write("checks_out", "checks"),
    }
    return tables, carried


def _name_models(place: Workplace, manifest: Manifest) -> None:
    read = sorted({name for month in manifest.months.values() for name in month.models})
    found = spellings(read, manifest.models)
    shown = sorted({(spelling.key, spelling.shown) for spelling in found})
    place.engine.view(
        "removals", place.files([manifest.tables["removals"]] if "removals" in manifest.tables else [])
    )
    logged = [name for (name,) in place.engine.ask("models_logged")]
    both = spellings(sorted({*read, *logged}), manifest.models)
    place.engine.hold("spellings", SPELLING_COLUMNS, [(s.read, s.key) for s in both])
    place.engine.hold("models", "model_key string, model string", shown)
    place.engine.hold("near_spellings", "model_key string, other string", near_spellings(found))


def _usable_checkpoint(place: Workplace, manifest: Manifest, touched: set[str]) -> Checkpoint | None:
    """The checkpoint, if nothing that it rests on has changed.

    The days collected and the calendar are made on the way, for they are asked about outages.
    """
    carried = manifest.checkpoint
    if carried is not None and (
        any(month <= carried.through for month in touched)
        or carried.through >= max(manifest.months)
        or carried.aliases != _alias_digest(manifest)
    ):
        carried = None
    later = [m for m in sorted(manifest.months) if carried is None or m > carried.through]
    place.engine.view("stays", place.files(manifest.months[month].stays for month in later))
    for name in ("days_collected", "known_drives", "presence"):
        _view_before(place, name, carried)
    _collect_days(place)
    _make_calendar(place)
    return None if carried is None or _outages_changed(place, carried) else carried


def _collect_days(place: Workplace) -> None:
    """Days collected by site of all months, and what follows from them: all days, the fleet's last ones."""
    engine = place.engine
    engine.make("days_collected")
    engine.hold("month_days", "day int", [(day,) for day in range(1, 32)])
    engine.make("fleet_days")
    first, last, before_last = engine.ask("fleet_ends")[0]
    days = [(first + timedelta(days=number),) for number in range((last - first).days + 1)]
    engine.hold("all_days", "day date", days)
    engine.hold(
        "settings",
        "bridge_days int, listed_gap_days int, vanish_days int, reappear_days int, log_days int, "
        "fleet_last_day date, fleet_last_but_one_day date",
        [(BRIDGE_DAYS, LISTED_GAP_DAYS, VANISH_DAYS, REAPPEAR_DAYS, LOG_DAYS, last, before_last or last)],
    )


def _make_calendar(place: Workplace) -> None:
    place.engine.make("known_drives")
    place.engine.define("named_stays")
    for step in ("presence", "calendar", "outage_bits"):
        place.engine.make(step)


def _outages_changed(place: Workplace, carried: Checkpoint) -> bool:
    place.engine.view("outages_before", place.files([carried.tables["outages"]]))
    place.engine.hold("through", "last_day date", [(_month_end(carried.through),)])
    return bool(place.engine.ask("changed_outages")[0][0])


def _carry_on(place: Workplace, carried: Checkpoint | None) -> None:
    for name in CARRIED:
        _view_before(place, name, carried)


def _view_before(place: Workplace, name: str, carried: Checkpoint | None) -> None:
    place.engine.view(f"{name}_before", place.files([carried.tables[name]] if carried is not None else []))


def _carry_further(place: Workplace) -> None:
    """Have the next months go on from those just added up, as a later load would."""
    for name in CARRIED:
        place.engine.rename(name, f"{name}_before")


def _add_months(place: Workplace, manifest: Manifest, months: list[str]) -> None:
    engine = place.engine
    engine.view("stays", place.files(manifest.months[month].stays for month in months))
    for step in MONTH_STEPS:
        (engine.define if step in PASSED_ON else engine.make)(step)


def _checkpoint(place: Workplace, manifest: Manifest, through: str) -> Checkpoint:
    """Write what the months up to this one came to, and what it rests on."""
    place.engine.hold("through", "last_day date", [(_month_end(through),)])
    for step in ("outages", "older_days_collected"):
        place.engine.make(step)
    tables = {name: place.write(name, f"carried/{name}") for name in ("known_drives", *CARRIED, "outages")}
    tables["days_collected"] = place.write("older_days_collected", "carried/days_collected")
    return Checkpoint(through, _alias_digest(manifest), tables)


def _end_lives(place: Workplace, manifest: Manifest) -> None:
    engine = place.engine
    engine.view("repeats", place.files(month.repeats for month in manifest.months.values() if month.repeats))
    for step in ("spells", "removal_use", "lives", "whereabouts", "drive_ends", "after_failure"):
        engine.make(step)
    codes = sorted(path.stem for path in (QUERIES / "checks").glob("*.sql"))
    for code in codes:
        engine.make(f"check_{code}", f"checks/{code}")
    # Each check is a query of its own name; together they are the findings.
    engine.view_all("raw_findings", [f"check_{code}" for code in codes])
    engine.make("findings")


def _alias_digest(manifest: Manifest) -> str:
    """The alias table, and the columns that are carried: another version of the program may carry others."""
    carried = [STATE_TYPES[name] for name in ("days_collected", "known_drives", *CARRIED)]
    rests_on = json.dumps([manifest.models, carried], sort_keys=True)
    return hashlib.sha256(rests_on.encode()).hexdigest()[:16]


def _month_end(month: str) -> date:
    year, number = map(int, month.split("-"))
    return date(year, number, calendar.monthrange(year, number)[1])
