"""The notes that stand before the verdicts: which days, which unit, which limits, what kind of look."""

from __future__ import annotations

from typing import TYPE_CHECKING

from reliability.report import numbers
from reliability.units import DAYS_PER_YEAR, HOURS_PER_YEAR

if TYPE_CHECKING:
    from datetime import date

    from reliability.quarter import Quarter

_LOOK = (  # the chances: exact sums for 0.5 to 10 expected failures a quarter, over twenty quarters
    "Each verdict is a single planned look: its limits hold for one look that was decided on beforehand. "
    "Taken again every quarter, the same look gives false alarms more often: for a model that keeps its "
    "stated rate, the chance of one within five years is 12 to 21 %, the higher the more failures are "
    "expected."
)

_RUNNING = (
    "A verdict that is valid at every look comes from the running comparison: its limits hold in this report and in "
    "all others at once, however often one looks and whatever made one look. Their price is that they are mostly wider "
    "than those of a single planned look, which stand beside them. They speak of the average rate of these drives "
    "since the comparison began; where the rate rises with age, the average lags behind it."
)


def opening_notes(  # noqa: PLR0913  (each is told in a sentence of its own)
    quarter: Quarter, first_day: date, last_day: date, *, level: float, material: float, running: bool
) -> tuple[str, ...]:
    """Say what the verdicts rest on.

    first_day, last_day    of the data, whether or not they reach the ends of the quarter
    running                whether the verdicts are those of running comparisons
    """
    first, last = numbers.day(first_day), numbers.day(min(quarter.last_day, last_day))
    notes = [f"The verdicts rest on every day of the history from {first} to {last}."]
    if last_day < quarter.last_day:
        notes.append(f"The data end on {last}, before {quarter} does: the quarter is not complete.")
    if first_day > quarter.first_day:
        notes.append(f"The data begin on {first}, after {quarter} does: the quarter is not complete.")
    notes.append(
        f"A drive-year is {DAYS_PER_YEAR} drive-days, {HOURS_PER_YEAR:,} hours. A rate (AFR) is failures per "
        "drive-year, and is shown in percent: failures per 100 drive-years."
    )
    notes.append(
        f"Limits are {100 * level:g} % limits for the drives at hand, those of a single look exact. A verdict of "
        "consistent means more than limits that contain the stated rate: they also exclude "
        f"{numbers.times(material)} that rate."
    )
    return (*notes, _RUNNING if running else _LOOK)
