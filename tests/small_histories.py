"""Tiny fleets for cases worked by hand: day 0 is 2026-03-01, and witnesses report every day."""

from __future__ import annotations

from datetime import date, timedelta
from typing import TYPE_CHECKING

from slow.nouns import Finding, Life, LogEntry, RawFile, Truth
from slow.reader import read

if TYPE_CHECKING:
    from collections.abc import Iterable

Rows = list[dict[str, str]]


def day(number: int) -> date:
    """Give the day with a number."""
    return date(2026, 3, 1) + timedelta(days=number)


def rows(serial: str, days: Iterable[int], model: str = "TARN T18", **cells: str | dict[int, str]) -> Rows:
    """Write one row a day; a cell is a text for all days, or a dict from a day's number to its text."""
    return [
        {"date": day(number).isoformat(), "serial": serial, "model": model}
        | {name: cell if isinstance(cell, str) else cell.get(number, "") for name, cell in cells.items()}
        for number in days
    ]


def witnesses(last: int, site: str = "") -> Rows:
    """Write two drives that report on every day from 0 to the last, so that all of them are collected."""
    return [row for serial in ("W1", "W2") for row in rows(serial, range(last + 1), site=site)]


def told(*histories: Rows, log: Iterable[LogEntry] = ()) -> Truth:
    """Read rows as one file."""
    together = [row for history in histories for row in history]
    return read([RawFile.of("all.csv", together)], log, today=date(2027, 1, 1))


def logged(serial: str, number: int, outcome: str, model: str | None = None) -> LogEntry:
    """Log an entry on the day with a number."""
    return LogEntry(serial, day(number), outcome, model)


def lives(truth: Truth, serial: str = "D") -> list[Life]:
    """Give the lives of a drive."""
    return [life for life in truth.lives if life.serial == serial]


def spans(truth: Truth, serial: str = "D") -> list[tuple[int, int, str]]:
    """Give the lives of a drive as (first day, last day, outcome)."""
    found = lives(truth, serial)
    return [((x.first_day - day(0)).days, (x.last_day - day(0)).days, x.outcome) for x in found]


def findings(truth: Truth, serial: str | None = "D") -> list[tuple[str, int, int]]:
    """Give the findings on a drive as (check, number of its first day, rows), sorted."""
    of_drive: list[Finding] = [finding for finding in truth.findings if finding.serial == serial]
    return sorted((f.check, (f.first_day - day(0)).days if f.first_day else -1, f.rows) for f in of_drive)
