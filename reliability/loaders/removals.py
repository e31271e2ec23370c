"""The removal log: what was pulled, when, and as what."""

from __future__ import annotations

import csv
import hashlib
import io
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from typing import TYPE_CHECKING

from reliability.errors import SourceError

if TYPE_CHECKING:
    from pathlib import Path

OUTCOMES = ("failed", "retired", "moved")
NEEDED = ("serial", "date", "outcome")


@dataclass(frozen=True, slots=True)
class Removal:
    """One entry of the log."""

    serial: str
    date: date
    outcome: str
    model: str | None
    reason: str | None


@dataclass(frozen=True, slots=True)
class RemovalLog:
    """A log that was read: its entries, and the rows that are none with their reason."""

    digest: str
    entries: tuple[Removal, ...]
    rejects: tuple[tuple[int, str | None, str | None, str], ...]  # line, column, value, reason

    @property
    def rows_read(self) -> int:
        """Every row that is not blank."""
        return len(self.entries) + len(self.rejects)


def read_removals(path: Path) -> RemovalLog:
    """Read a removal log, a CSV with the columns serial, date, outcome and perhaps model and reason.

    A row that is no entry is set apart with its reason. Raises SourceError if the file cannot be used as a
    whole.
    """
    try:
        content = path.read_bytes()
        text = content.decode("utf-8-sig")
    except OSError as error:
        raise SourceError(
            f"The removal log {path} cannot be read: {error.strerror}. Check the path."
        ) from None
    except UnicodeDecodeError as error:
        raise SourceError(
            f"The removal log {path} is not utf-8 ({error.reason} at byte {error.start}). Save it as utf-8."
        ) from None
    rows = csv.reader(io.StringIO(text, newline=""), strict=True)
    entries: list[Removal] = []
    rejects: list[tuple[int, str | None, str | None, str]] = []
    try:
        header = [name.strip() for name in next(rows, [])]
        twice = [name for name in (*NEEDED, "model", "reason") if header.count(name) > 1]
        if twice:
            raise SourceError(
                f"The removal log {path} names the column {twice[0]!r} twice; keep the one that is meant."
            )
        missing = [name for name in NEEDED if name not in header]
        if missing:
            raise SourceError(
                f"The removal log {path} has no column {', '.join(map(repr, missing))}; "
                f"its columns are {', '.join(header) or 'none'}. "
                f"Name them serial, date, outcome, and model and reason where there are any."
            )
        line = rows.line_num + 1  # where a row begins; quoted line ends make it longer than one
        for cells in rows:
            found = _entry(header, cells) if cells else None
            if isinstance(found, Removal):
                entries.append(found)
            elif found is not None:
                rejects.append((line, *found))
            line = rows.line_num + 1
    except csv.Error as error:
        raise SourceError(
            f"The removal log {path} cannot be read: line {rows.line_num}: {error}. Mend it there."
        ) from None
    return RemovalLog(hashlib.sha256(content).hexdigest(), tuple(entries), tuple(rejects))


def _entry(header: list[str], cells: list[str]) -> Removal | tuple[str | None, str | None, str]:
    if len(cells) != len(header):
        return None, ",".join(cells), f"{len(cells)} cells where the header has {len(header)}"
    row = {name: cell.strip() for name, cell in zip(header, cells, strict=True)}
    if not row["serial"]:
        return "serial", row["serial"], "no serial"
    try:
        day = datetime.strptime(row["date"], "%Y-%m-%d").date()  # noqa: DTZ007  (a day has no zone)
    except ValueError:
        return "date", row["date"], "no date written as %Y-%m-%d"
    if day > datetime.now(UTC).date() + timedelta(days=1):
        return "date", row["date"], f"the day {day} lies ahead of tomorrow (UTC)"
    outcome = row["outcome"].lower()
    if outcome not in OUTCOMES:
        return "outcome", row["outcome"], f"an outcome is one of {', '.join(OUTCOMES)}"
    return Removal(row["serial"], day, outcome, row.get("model") or None, row.get("reason") or None)
