"""Which entry of the removal log says how which life ended (rule 11)."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from slow.spelling import key_of

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence
    from datetime import date

    from slow.collected import Calendar
    from slow.nouns import Drive, DriveDay, LogEntry

NEAR = 30  # calendar days


@dataclass(frozen=True, slots=True)
class Verdict:
    """What an entry did: its life (the first is 1), if it is used, and the check that lists it."""

    entry: LogEntry
    life: int
    used: bool
    check: str | None


def tidy(entries: Iterable[LogEntry], last_day: date, aliases: Mapping[str, Sequence[str]]) -> list[LogEntry]:
    """Take identical entries as one, and leave out what is dated after the fleet's last collected day.

    Entries that spell one model in two ways are identical if all else is.
    """
    found: dict[tuple[str | date | None, ...], LogEntry] = {}
    for entry in entries:
        key = None if entry.model is None else key_of(entry.model, aliases)
        found.setdefault((entry.serial, entry.day, entry.outcome, key, entry.reason), entry)
    return [entry for entry in found.values() if entry.day <= last_day]


def drive_of(entry: LogEntry, drives: Iterable[Drive], aliases: Mapping[str, Sequence[str]]) -> Drive | None:
    """Find the drive of an entry; None if the serial is unknown, or under two models and none is named."""
    candidates = [drive for drive in drives if drive.serial == entry.serial]
    if entry.model is not None:
        candidates = [drive for drive in candidates if drive.key == key_of(entry.model, aliases)]
    return candidates[0] if len(candidates) == 1 else None


def judge(
    entry: LogEntry, spells: Sequence[Sequence[DriveDay]], calendar: Calendar, *, still_reports: bool
) -> Verdict:
    """Match an entry `failed` or `retired` to a life as the rows tell it, and say whether it is used."""
    distances = [abs((entry.day - spell[-1].day).days) for spell in spells]
    index = distances.index(min(distances))  # the earlier on a tie
    first, last = spells[index][0], spells[index][-1]
    days_late = (entry.day - last.day).days
    reported_on = calendar.collected(last.site, entry.day, last.day)
    days_after = len([day for day in reported_on if day > entry.day])
    too_early = days_late < -NEAR or entry.day < first.day or (days_after > 1 and still_reports)
    if too_early:
        return Verdict(entry, index + 1, used=False, check="seen_after_removal")
    return Verdict(entry, index + 1, used=True, check="late_log" if days_late > NEAR else None)


def still_reports(days: Sequence[DriveDay], calendar: Calendar) -> bool:
    """Tell whether a drive has a row (also after a failure) on the fleet's last two collected days."""
    last_two = sorted(calendar.reported)[-2:]
    return any(day.day in last_two for day in days)
