"""Generated histories with known truth: small fleets with as much dirt of each kind as asked for.

>>> from numpy.random import default_rng
>>> fleet = make_fleet(default_rng(7), Size(drives=5, days=20), period="one", dirt={"duplicate": 0.1})
>>> len(fleet.files), fleet.truth().outcomes()["in service"]
(1, 5)
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from functools import partial
from typing import TYPE_CHECKING

from dirty import counters, hardware, paper, places, rows
from dirty.layout import PERIODS, Layout, lay_out
from dirty.plans import DrivePlan, FleetPlan, Size, clean_fleet, pick
from dirty.writers import mapping_toml, write_files, write_log
from slow.reader import read

if TYPE_CHECKING:
    from collections.abc import Mapping

    import numpy as np
    from slow.nouns import FailureRule, LogEntry, RawFile, Truth

__all__ = ["ALL_DIRT", "PERIODS", "Fleet", "Size", "make_fleet", "mapping_toml", "write_files", "write_log"]

TODAY = date(2026, 1, 1)  # later than all days of all fleets, but for the rows dated far ahead

# a kind of dirt -> its usual amount and what it does; the amount is a chance a drive,
ON_DRIVES: dict[str, tuple[float, Callable[[np.random.Generator, DrivePlan, FleetPlan], None]]] = {
    "second_hand": (0.3, counters.second_hand),
    "no_hours": (0.06, counters.no_hours),
    "hours_short": (0.06, counters.hours_short),
    "bad_hours_first": (0.08, counters.bad_hours_first),
    "bad_hours": (0.08, counters.bad_hours),
    "hours_reset": (0.08, counters.hours_reset),
    "hours_jump": (0.08, counters.hours_jump),
    "hours_wrap": (0.08, counters.hours_wrap),
    "unnamed_site": (0.08, hardware.unnamed_site),
    "vanish": (0.12, hardware.vanish),
    "fail": (0.12, hardware.fail),
    "first_day_failure": (0.03, hardware.first_day_failure),
    "retired": (0.1, paper.retired),
    "failed_by_log": (0.06, paper.failed_by_log),
    "several_entries": (0.05, paper.several_entries),
    "seen_after_failure": (0.08, hardware.seen_after_failure),
    "late_flag": (0.06, hardware.late_flag),
    "model_changed": (0.05, hardware.model_changed),
    "move": (0.15, hardware.move),
    "short_gap": (0.2, hardware.short_gap),
    "bridged_gap": (0.15, hardware.bridged_gap),
    "cutting_gap": (0.15, hardware.cutting_gap),
    "return_after_log": (0.06, paper.return_after_log),
    "logged_in_service": (0.06, paper.logged_in_service),
    "logged_at_the_end": (0.08, paper.logged_at_the_end),
    "flagged_and_logged": (0.04, paper.flagged_and_logged),
    "short_second_life": (0.05, paper.short_second_life),
    "logged_ahead": (0.04, paper.logged_ahead),
    "model_not_named": (0.03, paper.model_not_named),
    "flag_in_life": (0.05, hardware.flag_in_life),
    "site_forgotten": (0.06, hardware.site_forgotten),
    "groups_change": (0.1, hardware.groups_change),
}
# a chance a fleet (tried twice),
ON_FLEETS: dict[str, tuple[float, Callable[[np.random.Generator, FleetPlan], None]]] = {
    "one_drive_site": (0.3, places.one_drive_site),
    "generations": (0.1, places.generations),
    "site_outage": (0.5, places.site_outage),
    "outage_at_the_end": (0.25, places.outage_at_the_end),
    "fleet_empty": (0.3, places.fleet_empty),
    "silent_site": (0.2, places.silent_site),
    "aliases": (0.3, places.aliases),
    "near_models": (0.2, places.near_models),
    "log_of_strangers": (0.3, places.log_of_strangers),
}
# a chance a row,
Spoil = Callable[["np.random.Generator", rows.Row], list[rows.Row]]
FAULTS: dict[str, tuple[float, Spoil]] = {
    kind: (0.002, partial(rows.with_fault, kind=kind)) for kind in rows.FAULTS
}
ON_ROWS: dict[str, tuple[float, Spoil]] = {
    **FAULTS,
    "spelling": (0.1, rows.spelling),
    "duplicate": (0.01, rows.duplicate),
    "duplicate_in_conflict": (0.005, rows.duplicate_in_conflict),
    "across_files": (0.01, rows.across_files),
    "two_sites": (0.005, rows.two_sites),
    "two_spellings": (0.005, rows.two_spellings),
    "torn": (0.002, rows.torn),
}
# and a chance a file; the last three are the chance that the whole fleet is so.
ON_FILES = {"coming_and_going": 0.1, "shuffle": 0.7, "words": 0.5, "state": 0.15}

ALL_DIRT: dict[str, float] = {
    **{kind: amount for kind, (amount, _) in (ON_DRIVES | ON_FLEETS | ON_ROWS).items()},
    **ON_FILES,
}


@dataclass(frozen=True, slots=True)
class Fleet:
    """An invented fleet: what is on paper, and the plan behind it."""

    files: tuple[RawFile, ...]
    log: tuple[LogEntry, ...]
    aliases: dict[str, list[str]]
    plan: FleetPlan
    failure: FailureRule | None = None

    def truth(self) -> Truth:
        """Read it slowly."""
        return read(self.files, self.log, today=TODAY, aliases=self.aliases, failure=self.failure)


def make_fleet(
    rng: np.random.Generator,
    size: Size = Size(),  # noqa: B008  (frozen)
    *,
    period: str | None = None,
    dirt: Mapping[str, float] = ALL_DIRT,
    fate: Callable[[np.random.Generator, DrivePlan, FleetPlan], None] | None = None,
) -> Fleet:
    """Make a fleet; `dirt` names each kind wanted with its amount.

    Without a period of its files (day, month, quarter, one) chance takes one. A fate is what happens to every
    drive after all else, such as a failure at a known rate.
    """
    unknown = dirt.keys() - ALL_DIRT.keys()
    if unknown:
        raise KeyError(*unknown)
    plan = clean_fleet(rng, size)
    for kind, (_, befall) in ON_FLEETS.items():
        for _ in range(2):
            if rng.random() < dirt.get(kind, 0):
                befall(rng, plan)
    for drive in list(plan.drives):
        for kind, (_, happen) in ON_DRIVES.items():
            if drive.days and rng.random() < dirt.get(kind, 0):
                happen(rng, drive, plan)
        if fate is not None:
            fate(rng, drive, plan)
    written = rows.write_rows(rng, plan, words=bool(rng.random() < dirt.get("words", 0)))
    rule = rows.state_instead_of_flag(rng, written) if rng.random() < dirt.get("state", 0) else None
    for kind, (_, spoil) in ON_ROWS.items():
        chance = dirt.get(kind, 0)
        spoilt = [spoil(rng, row) if chance and rng.random() < chance else [row] for row in written]
        written = [row for several in spoilt for row in several]
    layout = Layout(
        period or pick(rng, PERIODS),
        shuffled=bool(rng.random() < dirt.get("shuffle", 0)),
        coming_and_going=dirt.get("coming_and_going", 0),
    )
    files = lay_out(rng, plan, written, layout)
    log = (*plan.log, *(entry for drive in plan.drives for entry in drive.log))
    return Fleet(tuple(files), log, plan.aliases, plan, rule)
