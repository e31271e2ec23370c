"""What a mapping has to keep beyond its shape: each fault as words, so that all can be told at once."""

from __future__ import annotations

import difflib
import math
import re
from collections import Counter
from contextlib import suppress
from datetime import date, datetime
from typing import TYPE_CHECKING

from reliability.loaders.columns import NAMES, NUMBERS
from reliability.spelling import folded

if TYPE_CHECKING:
    from collections.abc import Iterator

    from reliability.loaders.mapping import ColumnRule, FileRule, Mapping, RetiredRule

# Names of columns that the store makes itself.
TAKEN = (
    "as_it_was",
    "counts",
    "fault_in_row",
    "hours",
    "model_key",
    "model_read",
    "ordinal_in_file",
    "rowid",
    "source_file",
)
DAY_PATTERNS = {
    "%Y": r"\d{4}",
    "%y": r"\d{2}",
    "%m": r"\d{2}",
    "%d": r"\d{2}",
    "%j": r"\d{3}",
    "%b": r"[A-Za-z]{3}",
    "%B": r"[A-Za-z]+",
}
DIRECTIVES = re.compile(r"%(?:[aAbBdfHIjmMpSyYzZ%]|-[dHIjmMSy])")  # those that the engine reads days by
SAMPLE_DAYS = (date(2023, 11, 28), date(2024, 1, 5))


def faults(mapping: Mapping) -> list[str]:
    """Every rule that a mapping breaks, in the order of its sections."""
    found = [*_file_faults(mapping.file)]
    for ours, rule in mapping.columns.items():
        found += [f"in [columns], {fault}" for fault in _column_faults(ours, rule)]
    if mapping.failed is not None and "failed" in mapping.columns:
        found.append("failed stands under [columns] and under [failed]; keep one of them")
    if mapping.failed is not None and mapping.failed.values == []:
        found.append("in [failed], values names no word that means failed; name one, or leave values out")
    found += [f"in [retired], {fault}" for fault in _retired_faults(mapping.retired)]
    return found + [f"in [extra], {fault}" for fault in _extra_faults(mapping.extra.columns)]


def _file_faults(rule: FileRule) -> Iterator[str]:
    delimiter, encoding = rule.delimiter, rule.encoding
    one_sign = len(delimiter) == 1 and delimiter.isascii() and delimiter != '"'
    if not one_sign or not (delimiter == "\t" or delimiter.isprintable()):
        yield f"in [file], delimiter is one plain character such as ',' or ';', not {delimiter!r}"
    try:
        b"x".decode(encoding, errors="replace")
    except (LookupError, UnicodeError, ValueError):
        yield f"in [file], encoding {encoding!r} is not known; write utf-8 or latin-1, for instance"
    if rule.decimal not in {".", ","}:
        yield f"in [file], decimal is '.' or ',', the mark of decimals, not {rule.decimal!r}"


def _column_faults(ours: str, rule: ColumnRule) -> Iterator[str]:
    if ours not in NAMES:
        near = difflib.get_close_matches(ours, NAMES, n=1)
        yield (
            f"{ours!r} is none of our columns"
            + (f", did you mean {near[0]!r}?" if near else f"; they are {', '.join(NAMES)}")
        )
        return
    if (rule.column is None) == (rule.file_name is None):
        yield f"{ours} needs a column" + (", or file_name, one of them" if ours == "date" else "")
    if ours != "date" and (rule.file_name is not None or rule.format is not None):
        yield f"{ours} takes no format or file_name; only date does"
    elif rule.format is not None and not _tells_a_day(rule.format):
        yield (
            f"{ours} has format {rule.format!r}, which tells no year, month and day; "
            "write it as %d.%m.%Y, for instance"
        )
    elif rule.file_name is not None and not (_is_readable(rule.file_name) and _tells_a_day(rule.file_name)):
        yield (
            f"{ours} has file_name {rule.file_name!r}, which tells no year, month and day; "
            f"write it with {', '.join(DAY_PATTERNS)}"
        )
    if rule.scale is not None and not (ours in NUMBERS and rule.scale > 0 and math.isfinite(rule.scale)):
        yield f"{ours} has scale {rule.scale}; a scale is a number above 0, for a column of numbers"


def _is_readable(file_name: str) -> bool:
    return set(re.findall(r"%.", file_name)) <= set(DAY_PATTERNS)


def _tells_a_day(pattern: str) -> bool:
    """Whether days written by a pattern are those that are read by it; without a year, for instance, they are not."""
    if "%" in DIRECTIVES.sub("", pattern):
        return False
    plain = pattern.replace("%-", "%")
    with suppress(ValueError):
        return all(
            datetime.strptime(day.strftime(plain), plain).date() == day  # noqa: DTZ007  (a day has no zone)
            for day in SAMPLE_DAYS
        )
    return False


def _retired_faults(rule: RetiredRule) -> Iterator[str]:
    preemptive = {folded(word) for word in rule.preemptive}
    if "" in preemptive or any(not folded(word) for word in rule.planned):
        yield "a word is blank; write one that stands in a reason of the removal log"
    for word in rule.planned:
        if folded(word) in preemptive - {""}:
            yield f"{word!r} stands under preemptive and under planned; keep one of them"


def _extra_faults(columns: list[str]) -> Iterator[str]:
    for name, times in Counter(name.lower() for name in columns).items():
        if times > 1:
            yield f"{name!r} stands {times} times"
        if not name.strip():
            yield "a column has no name"
        elif name in NAMES:
            yield f"{name!r} is one of our own columns; place it under [columns]"
        elif name in TAKEN:
            yield f"{name!r} is a name that the store needs"
