"""What each key of a datasheet may hold: a rule is a row, and all faults are found at once."""

from __future__ import annotations

import sys
from dataclasses import dataclass
from difflib import get_close_matches
from typing import TYPE_CHECKING, TypeGuard

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

AFR_KINDS = ("rate", "probability")


@dataclass(frozen=True, slots=True)
class Rule:
    """Whether a value may stand under a key, and what may, in words that end "it must be ..."."""

    holds: Callable[[object], bool]
    must_be: str


def _is_number(value: object) -> TypeGuard[float]:
    """Whether it is a finite number: TOML has nan and inf, and its true is no 1."""
    return isinstance(value, int | float) and not isinstance(value, bool) and abs(value) <= sys.float_info.max


def _is_positive(value: object) -> bool:
    return _is_number(value) and value > 0


def _is_share(value: object) -> bool:
    return _is_number(value) and 0 < value < 1


def _is_span(value: object) -> bool:
    match value:
        case [low, high]:
            return _is_number(low) and _is_number(high) and low < high
        case _:
            return False


def _is_text(value: object) -> bool:
    return isinstance(value, str) and bool(value.strip())


RULES = {
    "model": Rule(_is_text, 'its name in quotes, such as "TARN T18"'),
    "mtbf_hours": Rule(_is_positive, "a number of hours above 0, such as 2500000"),
    "afr_percent": Rule(_is_positive, "a number above 0 in percent, such as 0.35"),
    "afr_is": Rule(lambda value: value in AFR_KINDS, '"rate" or "probability"'),
    "capacity_tb": Rule(_is_positive, "a number of terabytes above 0, such as 18"),
    "rated_workload_tb_per_year": Rule(_is_positive, "a number of terabytes above 0, such as 550"),
    "warranty_years": Rule(_is_positive, "a number of years above 0, such as 5"),
    "operating_temperature_c": Rule(_is_span, "the lowest and the highest degrees Celsius, such as [5, 60]"),
    "unrecoverable_error_rate": Rule(_is_share, "errors a bit read, between 0 and 1, such as 1e-15"),
    "sustained_mb_per_s": Rule(_is_positive, "a number of megabytes a second above 0, such as 270"),
    "source": Rule(_is_text, "text in quotes that says where this is stated"),
}


def faults_of(table: Mapping[str, object]) -> list[str]:
    """Everything that is wrong with one datasheet, each fault with the way out; an empty list if nothing is.

    >>> for fault in faults_of({"model": "TARN T18", "mtbf_hour": 2_500_000}):
    ...     print(fault)
    unknown key 'mtbf_hour', did you mean 'mtbf_hours'?
    it states no rate, give mtbf_hours or afr_percent
    """
    unknown = [_unknown(key) for key in table if key not in RULES]
    broken = [
        f"{key} is {table[key]!r}, it must be {rule.must_be}"
        for key, rule in RULES.items()
        if key in table and not rule.holds(table[key])
    ]
    missing = [] if "model" in table else [f"model is missing, give {RULES['model'].must_be}"]
    return unknown + missing + broken + _faults_of_rate(table)


def _unknown(key: str) -> str:
    near = get_close_matches(key, RULES, n=1)
    return f"unknown key {key!r}, " + (
        f"did you mean {near[0]!r}?" if near else f"known are {', '.join(RULES)}"
    )


def _faults_of_rate(table: Mapping[str, object]) -> list[str]:
    if "mtbf_hours" not in table and "afr_percent" not in table:
        return ["it states no rate, give mtbf_hours or afr_percent"]
    percent = table.get("afr_percent")
    if table.get("afr_is") == "probability" and _is_number(percent) and percent >= 100:  # noqa: PLR2004 (percent)
        return [f"afr_percent is {percent}, as a probability it must be below 100, or else call it a rate"]
    return []
