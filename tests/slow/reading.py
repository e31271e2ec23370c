"""Text cells to rows; a row that cannot be read is rejected, with the first column at fault."""

from __future__ import annotations

import math
import re
import unicodedata
from datetime import date, timedelta
from typing import TYPE_CHECKING

from slow.nouns import FailureRule, FileAccount, GoodRow, RawFile, Rejected

if TYPE_CHECKING:
    from collections.abc import Mapping

REQUIRED = ("date", "serial", "model")
NUMBERS = (
    "capacity_tb",
    "power_on_hours",
    "temperature_c",
    "bytes_written",
    "bytes_read",
    "reallocated_sectors",
    "pending_sectors",
    "offline_uncorrectable",
    "reported_uncorrectable",
    "command_timeouts",
    "interface_crc_errors",
    "media_errors",
    "percentage_used",
    "available_spare",
)
READINGS = NUMBERS[2:]  # temperature, bytes, counters
FAILED_WORDS = {"true", "yes", "1", "t", "y"}
SOUND_WORDS = {"false", "no", "0", "f", "n", ""}
ISO_DAY = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")
NUMBER = re.compile(r"[+-]?([0-9]+\.?[0-9]*|\.[0-9]+)(e[+-]?[0-9]+)?|[+-]?(inf|infinity|nan)", re.IGNORECASE)
MOST_HOURS = 131_400  # rule 4: fifteen years


def is_set_aside(file: RawFile, rule: FailureRule | None) -> bool:
    """Tell whether this is no file of snapshots: a required column is missing, or it is a removal log."""
    required = (*REQUIRED, rule.column) if rule else REQUIRED
    is_log = "outcome" in file.columns and "outcome" not in required
    return is_log or any(name not in file.columns for name in required)


def read_file(file: RawFile, rule: FailureRule | None, today: date) -> tuple[FileAccount, list[GoodRow]]:
    """Read a file row by row; every row is kept, rejected or a duplicate of an earlier row."""
    good: list[GoodRow] = []
    rejected: list[Rejected] = []
    seen: set[tuple[str, str, date]] = set()
    for line, record in enumerate(file.records, start=2):
        if len(record) != len(file.columns):
            rejected.append(Rejected(line, None, "cells"))
            continue
        cells = {name: cell.strip() for name, cell in zip(file.columns, record, strict=True)}
        fault = first_fault(cells, rule or FailureRule(), today)
        if fault is not None:
            rejected.append(Rejected(line, *fault))
            continue
        identity = (cells["serial"], cells["model"], date.fromisoformat(cells["date"]))
        good.append(_row((file.name, line), cells, rule or FailureRule(), duplicate=identity in seen))
        seen.add(identity)
    duplicates = sum(row.duplicate for row in good)
    kept = len(good) - duplicates
    return FileAccount(file.name, len(file.records), kept, tuple(rejected), duplicates), good


def first_fault(cells: Mapping[str, str], rule: FailureRule, today: date) -> tuple[str, str] | None:
    """Find the first fault, as (column, kind), in the order date, serial, model, failed, numbers."""
    kind = _fault_of_date(cells["date"], today)
    if kind:
        return "date", kind
    for name in ("serial", "model"):
        kind = _fault_of_name(cells[name])
        if kind:
            return name, kind
    word = cells.get(rule.column, "").casefold()
    if rule.values is None and word not in FAILED_WORDS | SOUND_WORDS:
        return "failed", "unknown word"
    for name in NUMBERS:
        kind = _fault_of_number(cells.get(name, ""), may_be_infinite=name == "power_on_hours")
        if kind:
            return name, kind
    return None


def _fault_of_date(cell: str, today: date) -> str | None:
    if not cell:
        return "missing"
    if not ISO_DAY.fullmatch(cell):
        return "invalid"
    try:
        day = date.fromisoformat(cell)
    except ValueError:
        return "invalid"
    return "ahead" if day > today + timedelta(days=1) else None


def _fault_of_name(cell: str) -> str | None:
    if not cell:
        return "missing"
    return "control" if any(unicodedata.category(sign) == "Cc" for sign in cell) else None


def _fault_of_number(cell: str, *, may_be_infinite: bool) -> str | None:
    if not cell:
        return None
    if not NUMBER.fullmatch(cell):
        return "not a number"
    return None if math.isfinite(float(cell)) or may_be_infinite else "not finite"


def valid_hours(cell: str) -> float | None:
    """Give the hours if they are valid (rule 4), else None."""
    hours = float(cell) if cell else math.nan
    return hours if 0 <= hours <= MOST_HOURS else None


def _is_failed(cell: str, rule: FailureRule) -> bool:
    return cell.casefold() in FAILED_WORDS if rule.values is None else cell in rule.values


def _row(place: tuple[str, int], cells: Mapping[str, str], rule: FailureRule, *, duplicate: bool) -> GoodRow:
    temperature = cells.get("temperature_c", "")
    return GoodRow(
        file=place[0],
        line=place[1],
        serial=cells["serial"],
        model_read=cells["model"],
        day=date.fromisoformat(cells["date"]),
        failed=_is_failed(cells.get(rule.column, ""), rule),
        hours=valid_hours(cells.get("power_on_hours", "")),
        temperature=float(temperature) if temperature else None,
        site=cells.get("site") or None,
        rack=cells.get("rack") or None,
        batch=cells.get("batch") or None,
        duplicate=duplicate,
        readings=tuple((name, float(cells[name])) for name in READINGS if cells.get(name)),
    )
