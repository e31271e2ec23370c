"""What `driveyears plan` says of drives by months: the rate shown at most, and the chances of an answer."""

from __future__ import annotations

import math
from collections.abc import Callable

from reliability.cli.chances import chance_in_words
from reliability.cli.output import write_table
from reliability.digits import LIMIT_DIGITS, percent
from reliability.errors import QuestionError
from reliability.planning.power import Plan, plans

MONTHS = (3.0, 12.0, 36.0, 60.0)
FLEETS = (1, 10, 100, 1000)  # times the drives at hand
DRIVES = 12  # at hand, where only drive-years are told
LEAST_EXPECTED = 1  # failures at the stated rate, below which only gross excess can show
MOST = 20  # rows or columns

Grid = tuple[tuple[Plan, ...], ...]


def grid(stated: float, drives: str | None, months: str | None, at_hand: int | None, level: float) -> Grid:
    """A row of plans for each number of drives; as asked for, else multiples of the drives at hand.

    Raises QuestionError for what cannot be planned with.
    """
    rows = _numbers("--table-drives", drives) if drives else [(at_hand or DRIVES) * times for times in FLEETS]
    columns = _numbers("--table-months", months) if months else MONTHS
    if part := next((number for number in rows if number % 1), None):
        raise QuestionError(f"--table-drives {part:g} is no number of drives; give whole ones.")
    return plans([int(number) for number in rows], columns, stated, level=level)


def _numbers(option: str, text: str) -> list[float]:
    cells = text.split(",")
    try:
        numbers = [float(cell) for cell in cells]
    except ValueError:
        raise QuestionError(f"{option} {text} is no list of numbers; write it as 3,12,36.") from None
    if not all(0 < number < math.inf for number in numbers):
        raise QuestionError(f"{option} {text} holds what cannot be planned with; give numbers above 0.")
    if len(numbers) > MOST:
        raise QuestionError(f"{option} names {len(numbers)} numbers; give at most {MOST}.")
    return numbers


def rows(table: Grid) -> list[dict[str, object]]:
    """As JSON has it: one object for each number of drives and months."""
    return [
        {
            "drives": each.drives,
            "months": each.months,
            "drive_years": each.drive_years,
            "expected_failures": each.expected,
            "afr_upper_if_none_fails": each.at_most,
            "chance_to_detect_double": each.chance_to_find,
            "chance_to_call_consistent": each.chance_to_call,
        }
        for line in table
        for each in line
    ]


def write(table: Grid) -> None:
    """As people read it, a table for each question."""
    _write(
        "Rate per year shown at most, if none fails (one-sided 95 %)",
        table,
        lambda each: f"{percent(each.at_most, LIMIT_DIGITS)} %",
    )
    _write("Chance to find a model that fails twice as often as stated", table, _chance_to_find)
    _write(
        "Chance to rule that out for a model that keeps its stated rate",
        table,
        lambda each: chance_in_words(each.chance_to_call),
    )


def _write(title: str, table: Grid, cell: Callable[[Plan], str]) -> None:
    write_table(
        title,
        [
            ("Drives", "right"),
            *((f"{each.months:g} {'month' if each.months == 1 else 'months'}", "right") for each in table[0]),
        ],
        [[f"{line[0].drives:,}", *map(cell, line)] for line in table],
    )


def _chance_to_find(plan: Plan) -> str:
    """Where the first failure is already too many, a good model is flagged half as often as one twice as bad."""
    return "too little" if plan.expected < LEAST_EXPECTED else chance_in_words(plan.chance_to_find)
