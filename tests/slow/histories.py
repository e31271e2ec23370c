"""Rows to one record per drive and day, and from these to lives (rules 2, 3, 7, 8, 9)."""

from __future__ import annotations

import itertools
from dataclasses import dataclass
from typing import TYPE_CHECKING

from slow.nouns import Drive, DriveDay
from slow.spelling import key_of

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence
    from datetime import date

    from slow.collected import Calendar
    from slow.nouns import GoodRow

BRIDGED_UP_TO = 30  # collected days
LISTED_ABOVE = 7  # collected days


@dataclass(frozen=True, slots=True)
class Absence:
    """Unreported days between two reports of a drive; `gap` counts the collected ones."""

    before: DriveDay
    after: DriveDay
    gap: int

    @property
    def cuts(self) -> bool:
        return self.gap > BRIDGED_UP_TO

    @property
    def listed(self) -> bool:
        return self.gap > LISTED_ABOVE


def merge(rows: Iterable[GoodRow], aliases: Mapping[str, Sequence[str]]) -> dict[Drive, list[DriveDay]]:
    """Make one record per drive and day, whatever the files, sites and spellings; in day order (rule 2)."""
    together: dict[Drive, dict[date, list[GoodRow]]] = {}
    for row in rows:
        drive = Drive(row.serial, key_of(row.model_read, aliases))
        together.setdefault(drive, {}).setdefault(row.day, []).append(row)
    return {
        drive: [_merged(day, days[day]) for day in sorted(days)] for drive, days in sorted(together.items())
    }


def _merged(day: date, rows: Sequence[GoodRow]) -> DriveDay:
    return DriveDay(
        day=day,
        failed=any(row.failed for row in rows),
        hours=max((row.hours for row in rows if row.hours is not None), default=None),
        temperature=max((row.temperature for row in rows if row.temperature is not None), default=None),
        sites=frozenset(row.site for row in rows if row.site is not None),
        rack=min((row.rack for row in rows if row.rack is not None), default=None),
        batch=min((row.batch for row in rows if row.batch is not None), default=None),
        readings=_highest(row.readings for row in rows),
    )


def _highest(readings: Iterable[tuple[tuple[str, float], ...]]) -> tuple[tuple[str, float], ...]:
    highest: dict[str, float] = {}
    for name, value in itertools.chain.from_iterable(readings):
        highest[name] = max(value, highest.get(name, value))
    return tuple(sorted(highest.items()))


def first_flag(days: Sequence[DriveDay]) -> date | None:
    """Give the day of the first failure flag (rule 8)."""
    return min((day.day for day in days if day.failed), default=None)


def up_to(days: Sequence[DriveDay], last: date | None) -> list[DriveDay]:
    """Keep what is no later than the failure; all, if there was none."""
    return [day for day in days if last is None or day.day <= last]


def absences(days: Sequence[DriveDay], calendar: Calendar) -> list[Absence]:
    """List the absences of a drive, by the calendar of the site last seen (rule 7)."""
    found = []
    for before, after in itertools.pairwise(days):
        if (after.day - before.day).days > 1:
            collected = calendar.collected(before.site, before.day, after.day)
            gap = len([day for day in collected if before.day < day < after.day])
            found.append(Absence(before, after, gap))
    return found


def cut_into_spells(days: Sequence[DriveDay], calendar: Calendar) -> list[list[DriveDay]]:
    """Cut a history at each absence of 31 or more collected days: each piece is a life."""
    returns = {absence.after.day for absence in absences(days, calendar) if absence.cuts}
    spells: list[list[DriveDay]] = []
    for day in days:
        if not spells or day.day in returns:
            spells.append([])
        spells[-1].append(day)
    return spells


def outcome_without_log(number: int, spells: Sequence[Sequence[DriveDay]], calendar: Calendar) -> str:
    """Say how a life (the first is 1) ended, as far as the rows tell (rules 7, 8, 9)."""
    last = spells[number - 1][-1]
    if last.failed:
        return "failed"
    if number < len(spells):
        return "interrupted"
    tail = calendar.reported_after(last.site, last.day)
    return "vanished" if len(tail) > BRIDGED_UP_TO else "in service"


def site_by_day(
    spell: Sequence[DriveDay], every_day: Sequence[date], moves: Iterable[date]
) -> dict[date, str | None]:
    """Say where a drive was on each day of a life.

    On a bridged day: where it was last seen, but from a `moved` entry on (dated from the day last seen to
    that bridged day) where it is seen next.
    """
    reported = {day.day: day for day in spell}
    sites: dict[date, str | None] = {}
    for day in every_day:
        if day in reported:
            sites[day] = reported[day].site
        else:
            before = max(other for other in reported if other < day)
            after = min(other for other in reported if other > day)
            moved = any(before <= move <= day for move in moves)
            sites[day] = reported[after if moved else before].site
    return sites


def last_named(values: Iterable[str | None]) -> str | None:
    """Give the last value that is not null, in day order."""
    named = [value for value in values if value is not None]
    return named[-1] if named else None
