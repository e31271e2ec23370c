"""All that is known of one drive: its days, its lives, how they ended."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from slow.clock import Clock, clock
from slow.collected import days_between
from slow.histories import (
    Absence,
    absences,
    cut_into_spells,
    first_flag,
    last_named,
    outcome_without_log,
    site_by_day,
    up_to,
)
from slow.nouns import DayAtRisk, Drive, DriveDay, Life
from slow.removal_log import Verdict, judge, still_reports

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence
    from datetime import date

    from slow.collected import Calendar
    from slow.nouns import LogEntry


@dataclass(frozen=True, slots=True)
class Story:
    """A drive's history. `counted` ends with the failure, `after` is what the rows show later."""

    drive: Drive
    model: str
    counted: tuple[DriveDay, ...]
    after: tuple[DriveDay, ...]
    spells: tuple[tuple[DriveDay, ...], ...]  # the counted days, one piece a life
    outcomes: tuple[str, ...]  # one a life
    absences: tuple[Absence, ...]  # up to the failure
    clock: Clock | None
    verdicts: tuple[Verdict, ...]  # on the log's entries `failed` and `retired`
    moves: tuple[date, ...]

    def life_on(self, day: date) -> int:
        """Give the number of the life that a day belongs to; after a failure the one that failed."""
        return max(number for number, spell in enumerate(self.spells, start=1) if spell[0].day <= day)


def tell(
    drive: Drive, model: str, days: Sequence[DriveDay], calendar: Calendar, entries: Iterable[LogEntry]
) -> Story:
    """Tell the story of a drive: first as its rows do, then with what the log adds (rules 7 to 11)."""
    entries = list(entries)
    by_rows = cut_into_spells(up_to(days, first_flag(days)), calendar)
    reports = still_reports(days, calendar)
    verdicts = tuple(
        judge(entry, by_rows, calendar, still_reports=reports)
        for entry in entries
        if entry.outcome in {"failed", "retired"}
    )
    logged = {number: _logged_end(verdicts, number) for number in range(1, len(by_rows) + 1)}
    ends = [by_rows[number - 1][-1].day for number, end in logged.items() if end == "failed"]
    failure = min([*ends, *filter(None, [first_flag(days)])], default=None)
    counted = up_to(days, failure)
    spells = cut_into_spells(counted, calendar)
    outcomes = []
    for number in range(1, len(spells) + 1):
        by_row = outcome_without_log(number, spells, calendar)
        outcomes.append(by_row if by_row == "failed" else logged[number] or by_row)
    return Story(
        drive=drive,
        model=model,
        counted=tuple(counted),
        after=tuple(days[len(counted) :]),
        spells=tuple(tuple(spell) for spell in spells),
        outcomes=tuple(outcomes),
        absences=tuple(absences(counted, calendar)),
        clock=clock(counted),
        verdicts=verdicts,
        moves=tuple(entry.day for entry in entries if entry.outcome == "moved"),
    )


def _logged_end(verdicts: Iterable[Verdict], life: int) -> str | None:
    """Say how the log ends a life: failed beats retired (rule 11)."""
    said = {verdict.entry.outcome for verdict in verdicts if verdict.used and verdict.life == life}
    return "failed" if "failed" in said else "retired" if "retired" in said else None


def life(story: Story, number: int, checks: Iterable[str]) -> Life:
    """Make the row of the table `lives` for one life of a drive (rules 3 and 4)."""
    spell = story.spells[number - 1]
    first, last = spell[0].day, spell[-1].day
    drive_days = (last - first).days + 1
    entry_age = story.clock.age_at_start_of(first) if story.clock else None
    gaps = [absence.gap for absence in story.absences if first <= absence.before.day < last]
    return Life(
        serial=story.drive.serial,
        model=story.model,
        life=number,
        site=spell[-1].site,
        rack=last_named(day.rack for day in spell),
        batch=last_named(day.batch for day in spell),
        first_day=first,
        last_day=last,
        drive_days=drive_days,
        days_seen=len(spell),
        entry_age_days=entry_age,
        exit_age_days=None if entry_age is None else entry_age + drive_days,
        outcome=story.outcomes[number - 1],
        reason=_reason(story, number),
        age_source="unknown" if story.clock is None else "power_on_hours",
        longest_gap_days=max(gaps, default=0),
        checks=" ".join(sorted(set(checks))),
    )


def _reason(story: Story, life: int) -> str | None:
    """Say why a life was retired: by the nearest entry, the earlier of two, the first in the alphabet of one day."""
    if story.outcomes[life - 1] != "retired":
        return None
    end = story.spells[life - 1][-1].day
    said = [verdict.entry for verdict in story.verdicts if verdict.used and verdict.life == life]
    said.sort(key=lambda entry: (abs((entry.day - end).days), entry.day, entry.reason or "\U0010ffff"))
    return said[0].reason


def days_at_risk(story: Story, of: Life) -> list[DayAtRisk]:
    """List each day of a life, with the place and the age on that day; the last may be the failure."""
    every_day = days_between(of.first_day, of.last_day)
    sites = site_by_day(story.spells[of.life - 1], every_day, story.moves)
    return [
        DayAtRisk(
            serial=of.serial,
            model=of.model,
            life=of.life,
            day=day,
            site=sites[day],
            rack=of.rack,
            batch=of.batch,
            age=None if of.entry_age_days is None else of.entry_age_days + number,
            failed=of.outcome == "failed" and day == of.last_day,
        )
        for number, day in enumerate(every_day, start=1)
    ]
