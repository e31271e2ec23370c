"""The slow reader, all of it together."""

from __future__ import annotations

from typing import TYPE_CHECKING

from slow import findings, removal_log
from slow.collected import calendar
from slow.histories import merge
from slow.nouns import Drive, FailureRule, Finding, LogEntry, RawFile, Truth
from slow.reading import is_set_aside, read_file
from slow.spelling import key_of, shown_models
from slow.story import days_at_risk, life, tell

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence
    from datetime import date

    from slow.findings import Located
    from slow.nouns import DayAtRisk, DriveDay, Life
    from slow.story import Story


def read(
    files: Iterable[RawFile],
    log: Iterable[LogEntry] = (),
    *,
    today: date,
    aliases: Mapping[str, Sequence[str]] | None = None,
    failure: FailureRule | None = None,
) -> Truth:
    """Read files and the removal log by the rules; a date later than the day after `today` is rejected."""
    aliases = aliases or {}
    files = list(files)
    set_aside = tuple(file.name for file in files if is_set_aside(file, failure))
    accounts, rows = [], []
    for file in files:
        if file.name not in set_aside:
            account, good = read_file(file, failure, today)
            accounts.append(account)
            rows += good
    if not rows:
        return Truth(tuple(accounts), set_aside, {}, {}, (), (), ())
    reports = [(row.site, row.day, Drive(row.serial, key_of(row.model_read, aliases))) for row in rows]
    days_of = merge(rows, aliases)
    models = shown_models(rows, aliases)
    when = calendar(reports)
    entries = removal_log.tidy(log, when.last, aliases)
    owners = {entry: removal_log.drive_of(entry, days_of, aliases) for entry in entries}
    stories = {
        drive: tell(drive, models[drive.key], days, when, [e for e in entries if owners[e] == drive])
        for drive, days in days_of.items()
    }
    located = [*_on_drives(stories, days_of), *findings.of_rows(rows, stories, aliases)]
    lives, risk = _lives(stories, located)
    of_fleet: list[Finding] = [*findings.of_outages(when), *findings.of_models(models)]
    of_fleet += [findings.of_unknown(entry) for entry in entries if owners[entry] is None]
    return Truth(
        files=tuple(accounts),
        set_aside=set_aside,
        reported={site: frozenset(days) for site, days in when.by_site.items()},
        outages=when.outages,
        lives=lives,
        findings=(*[found.finding for found in located], *of_fleet),
        days_at_risk=risk,
        days_of={(drive.serial, models[drive.key]): days for drive, days in days_of.items()},
        absences_bridged=sum(not a.cuts for story in stories.values() for a in story.absences),
    )


def _on_drives(stories: Mapping[Drive, Story], days_of: Mapping[Drive, Sequence[DriveDay]]) -> list[Located]:
    found: list[Located] = []
    for drive, story in stories.items():
        models_of_serial = len([other for other in days_of if other.serial == drive.serial])
        found += findings.of_drive(story, models_of_serial)
    return found


def _lives(
    stories: Mapping[Drive, Story], located: Sequence[Located]
) -> tuple[tuple[Life, ...], tuple[DayAtRisk, ...]]:
    lives: list[Life] = []
    risk: list[DayAtRisk] = []
    for story in stories.values():
        of_drive = [f for f in located if f.finding.serial == story.drive.serial]
        of_drive = [f for f in of_drive if f.finding.model == story.model]
        for number in range(1, len(story.spells) + 1):
            checks = [found.finding.check for found in of_drive if number in found.lives]
            lives.append(life(story, number, checks))
            risk += days_at_risk(story, lives[-1])
    return tuple(lives), tuple(risk)
