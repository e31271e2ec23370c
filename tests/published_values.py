"""The published check values: how they are read, and when a result agrees with one."""

from __future__ import annotations

import csv
import json
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest

if TYPE_CHECKING:
    from collections.abc import Iterator

REFERENCES = Path(__file__).parent / "references"
GROUPS = json.loads((REFERENCES / "published.json").read_text(encoding="utf-8"))["groups"]


def entries(*groups: str) -> dict[str, Any]:
    """Entries of some groups by their id."""
    return {entry["id"]: entry for group in groups for entry in GROUPS[group]}


def rows_of(data: str, **wanted: str) -> list[dict[str, str]]:
    """Rows of a data file, named as entries name it, that have the wanted values."""
    with (REFERENCES / data).open(encoding="utf-8", newline="") as file:
        return [row for row in csv.DictReader(file) if wanted.items() <= row.items()]


def cases(part: str, given: dict[str, Any]) -> list[Any]:
    """One case for each number, with its entry and source in the test's name."""
    return [
        pytest.param(entry, key, id=f"{name}.{key} ({entry['source']})")
        for name, entry in given.items()
        for key in entry.get(part, {})
        if part == "expected" or not differs_in_print(entry, key)
    ]


def differs_in_print(entry: dict[str, Any], key: str) -> bool:
    """Whether the note of the entry says that the printed digits are loose."""
    check = entry["published_check"]
    return isinstance(check, dict) and check[key].startswith("differs")


def loose_prints(given: dict[str, Any]) -> Iterator[tuple[str, str]]:
    """Every number whose print is known to be loose."""
    for name, entry in given.items():
        yield from ((name, key) for key in entry.get("published", {}) if differs_in_print(entry, key))


def agrees(entry: dict[str, Any], key: str, got: float) -> bool:
    """Whether a result is the expected one, within the tolerance of its entry."""
    tolerance, expected = entry["tolerance"], entry["expected"][key]
    return bool(abs(got - expected) <= tolerance["abs"] + tolerance["rel"] * abs(expected))


def agrees_in_print(entry: dict[str, Any], key: str, got: float) -> bool:
    """Whether a result has the printed digits, the last one rounded; 820000 is a round figure, of two digits."""
    printed = entry["published"][key]
    if printed.endswith("000") and "." not in printed:
        digits = len(printed.rstrip("0"))
        return float(f"{got:.{digits - 1}e}") == float(printed)
    decimals = len(printed.partition(".")[2])
    return bool(abs(got - float(printed)) <= 0.5000001 * 10**-decimals)
