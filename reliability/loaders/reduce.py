"""Stays -> lives: only the months that are new, on top of what the months before them left.

The months are added up in two steps: the older ones once, into a checkpoint; the last two each time anew, since days
still come for them. So the cost of a new day does not grow with the years before it. When an older month
changes, or the outages of its sites do, all months are added up again from their stays.
"""

from __future__ import annotations

import calendar
import hashlib
import json
from datetime import date, timedelta
from typing import TYPE_CHECKING

import pyarrow.parquet as pq

from reliability.loaders.day_rules import (
    BRIDGE_DAYS,
    LISTED_GAP_DAYS,
    LOG_DAYS,
    REAPPEAR_DAYS,
    VANISH_DAYS,
)
from reliability.loaders.engine import QUERIES, STATE_TYPES
from reliability.loaders.manifest import Checkpoint, Manifest
from reliability.loaders.spellings import near_spellings, spellings

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from reliability.loaders.workplace import Workplace

OPEN_MONTHS = 2  # the last months, for which days still come
STAYS_AT_ONCE = 1 << 18  # of older months: each takes memory, and each time costs what a small load costs

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
        for turn, months in enumerate(_by_turns(place, manifest, closing)):
            if turn:
                _carry_further(place)
            _add_months(place, manifest, months)
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
    place.engine.hold_like("spellings", [(s.read, s.key) for s in both])
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


def _by_turns(place: Workplace, manifest: Manifest, months: Iterable[str]) -> Iterator[list[str]]:
    """Months in order, as many together as have few enough stays, and one at least."""
    together: list[str] = []
    stays = 0
    for month in months:
        [file] = place.files([manifest.months[month].stays])
        came = pq.read_metadata(file).num_rows
        if together and stays + came > STAYS_AT_ONCE:
            yield together
            together, stays = [], 0
        together.append(month)
        stays += came
    if together:
        yield together


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
