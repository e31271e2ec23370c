"""Plain second implementations, against which the fast ones are held.

>>> from datetime import date
>>> rows = [{"date": "2026-03-01", "serial": "S1", "model": "TARN T18"}]
>>> truth = read([RawFile.of("a.csv", rows)], today=date(2026, 3, 2))
>>> [(life.serial, life.drive_days, life.outcome) for life in truth.lives]
[('S1', 1, 'in service')]
"""

from __future__ import annotations

from slow.exposure import Cell, Exposure, exposure
from slow.nouns import (
    CheckTotal,
    DayAtRisk,
    FailureRule,
    FileAccount,
    Finding,
    Life,
    LogEntry,
    RawFile,
    Rejected,
    Truth,
)
from slow.reader import read

__all__ = [
    "Cell",
    "CheckTotal",
    "DayAtRisk",
    "Exposure",
    "FailureRule",
    "FileAccount",
    "Finding",
    "Life",
    "LogEntry",
    "RawFile",
    "Rejected",
    "Truth",
    "exposure",
    "read",
]
