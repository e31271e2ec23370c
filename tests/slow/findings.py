"""What is odd, counted and located: one function for each kind of finding."""

from __future__ import annotations

from collections import Counter
from itertools import combinations
from typing import TYPE_CHECKING, NamedTuple

from slow.clock import faults, readings
from slow.collected import runs
from slow.histories import BRIDGED_UP_TO
from slow.nouns import Drive, Finding
from slow.spelling import are_near, key_of

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping, Sequence
    from datetime import date

    from slow.collected import Calendar
    from slow.nouns import GoodRow, LogEntry
    from slow.story import Story

REAPPEARED_FROM = 14  # days after the failure


class Located(NamedTuple):
    """A finding, and the lives of its drive that it touches."""

    finding: Finding
    lives: frozenset[int] = frozenset()


def of_drive(story: Story, models_of_serial: int) -> Iterator[Located]:
    """Give the findings on one drive's history."""
    everywhere = range(1, len(story.spells) + 1)

    def on(check: str, day: date, rows: int, lives: Iterable[int]) -> Located:
        return Located(Finding(check, story.drive.serial, story.model, day, rows), frozenset(lives))

    if models_of_serial > 1:
        yield on("model_changed", story.counted[0].day, len(story.counted), everywhere)
    for absence in story.absences:
        if absence.listed:
            yield on("gap", _day_after(absence.before.day), 1, [story.life_on(absence.before.day)])
    for day in (*story.counted, *story.after):
        if len(day.sites) > 1:
            yield on("two_sites", day.day, 1, [story.life_on(day.day)])
    for verdict in story.verdicts:
        if verdict.check:
            life = min(verdict.life, len(story.spells))  # that life may have fallen away
            yield on(verdict.check, verdict.entry.day, 1, [life])
    yield from of_end(story)
    yield from of_clock(story)


def of_end(story: Story) -> Iterator[Located]:
    """Give the findings on how one drive's last life ended, and on what came after."""
    last = story.counted[-1]

    def on(check: str, day: date, rows: int) -> Located:
        finding = Finding(check, story.drive.serial, story.model, day, rows)
        return Located(finding, frozenset([len(story.spells)]))

    if last.failed and any(a.after.day == last.day and a.listed for a in story.absences):
        yield on("late_flag", last.day, 1)
    if story.outcomes[-1] == "vanished":
        yield on("vanished", last.day, 1)
    if story.after:
        days_later = (story.after[-1].day - last.day).days
        check = "reappeared" if days_later >= REAPPEARED_FROM else "seen_after_failure"
        yield on(check, story.after[0].day, len(story.after))


def of_clock(story: Story) -> Iterator[Located]:
    """Give the findings on one drive's power-on hours; the clock is that of all its lives."""
    everywhere = frozenset(range(1, len(story.spells) + 1))

    def on(check: str, day: date, rows: int, lives: frozenset[int] = everywhere) -> Located:
        return Located(Finding(check, story.drive.serial, story.model, day, rows), lives)

    if story.clock is None:
        yield on("age_unknown", story.counted[0].day, len(story.counted))
        return
    before = [day for day in story.counted if day.day < story.clock.read_on]
    if before:
        yield on("hours_invalid", before[0].day, len(before))
    if story.clock.short:
        yield on("hours_short", readings(story.counted)[0].day, 1)
    for fault, day in faults(story.counted):
        yield on(fault, day, 1, frozenset([story.life_on(day)]))


def of_rows(
    rows: Sequence[GoodRow], stories: Mapping[Drive, Story], aliases: Mapping[str, Sequence[str]]
) -> Iterator[Located]:
    """Give the findings on rows that stand for the same drive and day."""

    def on(check: str, serial: str, model_read: str, day: date, count: int) -> Located:
        story = stories[Drive(serial, key_of(model_read, aliases))]
        finding = Finding(check, serial, story.model, day, count)
        return Located(finding, frozenset([story.life_on(day)]))

    surplus = Counter((row.serial, row.model_read, row.day, row.file) for row in rows if row.duplicate)
    for (serial, model_read, day, _file), count in surplus.items():
        yield on("duplicate", serial, model_read, day, count)
    files = Counter((row.serial, row.model_read, row.day) for row in rows if not row.duplicate)
    for (serial, model_read, day), count in files.items():
        if count > 1:
            yield on("duplicate_across_files", serial, model_read, day, count - 1)
    spellings: dict[tuple[Drive, date], set[str]] = {}
    for row in rows:
        drive = Drive(row.serial, key_of(row.model_read, aliases))
        spellings.setdefault((drive, row.day), set()).add(row.model_read)
    for (drive, day), found in spellings.items():
        if len(found) > 1:
            yield on("duplicate", drive.serial, min(found), day, 1)  # one row, however many spellings


def of_outages(calendar: Calendar) -> Iterator[Finding]:
    """Give one finding a site (or the fleet) and run of outage days, one for each site silent for good."""
    on_fleet_calendar = [site for site in calendar.by_site if calendar.owner(site) is None]
    for site, days in calendar.outages.items():
        names = () if site is None else (site,)
        if site is not None or on_fleet_calendar:
            for first, _last in runs(days):
                yield Finding("outage", None, None, first, 0, names)
        if site is not None:
            last_report = max(calendar.by_site[site])
            silent = [day for day in calendar.reported if day > last_report]
            if len(silent) > BRIDGED_UP_TO:
                yield Finding("outage", None, None, _day_after(last_report), 0, names)


def _day_after(day: date) -> date:
    return day.fromordinal(day.toordinal() + 1)


def of_models(models: Mapping[str, str]) -> Iterator[Finding]:
    """Give one finding for each pair of models (key to shown name) that might be one."""
    for one, other in combinations(models, 2):
        if are_near(one, other):
            first, second = sorted((models[one], models[other]))
            yield Finding("near_spelling", None, first, None, 0, (second,))


def of_unknown(entry: LogEntry) -> Finding:
    """Give the finding on an entry of the log that belongs to no drive, or not to one alone."""
    return Finding("log_unknown", entry.serial, None, entry.day, 1)
