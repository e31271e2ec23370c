"""In which state of each signal a drive was on each day, by what had been read before that day."""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING, NamedTuple

from slow.histories import first_flag, up_to

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Mapping, Sequence
    from datetime import date

    from slow.nouns import DayAtRisk, DriveDay, Truth

COUNTS = (
    "reallocated_sectors",
    "pending_sectors",
    "offline_uncorrectable",
    "reported_uncorrectable",
    "command_timeouts",
    "interface_crc_errors",
    "media_errors",
)
ERRORS = tuple(name for name in COUNTS if name != "interface_crc_errors")
Month = tuple[int, int]


class Ratings(NamedTuple):
    """What a model is rated for."""

    highest_c: float | None = None
    tb_per_year: float | None = None


NO_RATING = Ratings()


def count_states(
    truth: Truth, ratings: Mapping[str, Ratings], days: Iterable[DayAtRisk]
) -> Counter[tuple[str, str, str, int | None, str]]:
    """Count days at risk, and failures among them, by signal, model, state and the age at the end of the day.

    The last label is "day" or "failure"; age bands are the caller's.
    """
    found: Counter[tuple[str, str, str, int | None, str]] = Counter()
    told = {drive: Told(of_drive) for drive, of_drive in truth.days_of.items()}
    for at_risk in days:
        drive = told[at_risk.serial, at_risk.model]
        rating = ratings.get(at_risk.model, NO_RATING)
        for signal, state in drive.states(at_risk.day, rating).items():
            key = (signal, at_risk.model, state, at_risk.age)
            found[*key, "day"] += 1
            found[*key, "failure"] += at_risk.failed
    return found


class Told:
    """What one drive told, day by day."""

    def __init__(self, days: Sequence[DriveDay]) -> None:
        """Take its days in order; nothing that was read after a failure flag counts."""
        self.days = [(each.day, dict(each.readings)) for each in up_to(days, first_flag(days))]

    def states(self, day: date, rating: Ratings) -> dict[str, str]:
        """Give the state of each signal on a day."""
        found = {name: self._count(name, day) for name in COUNTS}
        of_errors = [found[name] for name in ERRORS]
        found["any_error_counter"] = (
            "exposed"
            if "exposed" in of_errors
            else "unexposed"
            if "unexposed" in of_errors
            else "not reported"
        )
        found["percentage_used"] = self._last_of_months("percentage_used", day, lambda value: value >= 100)
        found["available_spare"] = self._last_of_months("available_spare", day, lambda value: value < 100)
        found["temperature"] = self._heat(day, rating.highest_c)
        found["workload"] = self._work(day, rating.tb_per_year)
        both = {found["temperature"], found["workload"]} - {"not rated"}
        order = ("exposed", "not reported", "unexposed")
        found["either_rating"] = next((state for state in order if state in both), "not rated")
        return found

    def warned_on(self, signal: str) -> date | None:
        """Give the day of the first reading above zero of a counter of sectors or errors."""
        names = ERRORS if signal == "any_error_counter" else (signal,)
        return min((day for day, read in self.days if any(read.get(n, 0) > 0 for n in names)), default=None)

    def _reported(self, name: str, day: date) -> bool:
        """Tell whether the drive has told something by the end of the month of the day."""
        return any(name in read and month_of(when) <= month_of(day) for when, read in self.days)

    def _count(self, name: str, day: date) -> str:
        if any(when < day and read.get(name, 0) > 0 for when, read in self.days):
            return "exposed"
        return "unexposed" if self._reported(name, day) else "not reported"

    def _last_of_months(self, name: str, day: date, warns: Callable[[float], bool]) -> str:
        last = {month_of(when): (when, read[name]) for when, read in self.days if name in read}
        if any(when < day and warns(value) for when, value in last.values()):
            return "exposed"
        return "unexposed" if self._reported(name, day) else "not reported"

    def _heat(self, day: date, highest: float | None) -> str:
        if highest is None:
            return "not rated"
        before = month_before(month_of(day))
        read = [
            read["temperature_c"]
            for when, read in self.days
            if month_of(when) == before and "temperature_c" in read
        ]
        if not read:
            return "not reported"
        return "exposed" if max(read) > highest else "unexposed"

    def _work(self, day: date, rated: float | None) -> str:
        if rated is None:
            return "not rated"
        speeds = [self._speed(name, month_of(day)) for name in ("bytes_written", "bytes_read")]
        written, read = speeds
        if written is None or read is None:
            return "not reported"
        return "exposed" if (written + read) * 365 > rated * 1e12 else "unexposed"

    def _speed(self, name: str, before: Month) -> float | None:
        """Give bytes a day, over the months before one in which they did not fall."""
        moved = 0.0
        days = 0
        for month in {month_of(when) for when, _ in self.days if month_of(when) < before}:
            told = [
                (when, read[name]) for when, read in self.days if month_of(when) == month and name in read
            ]
            if len(told) > 1 and told[-1][1] >= told[0][1]:
                moved += told[-1][1] - told[0][1]
                days += (told[-1][0] - told[0][0]).days
        return moved / days if days else None


def month_of(day: date) -> Month:
    return day.year, day.month


def month_before(month: Month) -> Month:
    year, number = month
    return (year, number - 1) if number > 1 else (year - 1, 12)
