"""What `driveyears plan` says of the exposure that each answer takes, and when a fleet will have it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime

from reliability.cli.options import day as day_of
from reliability.cli.output import out, write_table
from reliability.digits import LIMIT_DIGITS, counted, percent, significant, years_at_risk
from reliability.errors import QuestionError
from reliability.planning.enough import HORIZON_YEARS, GrowingFleet, Purchase
from reliability.planning.needed import Needed
from reliability.units import MONTHS_PER_YEAR

ANSWERS = {
    "demonstrate": "that the rate is at most as stated, if none fails",
    "detect double": "that a model fails twice as often, if it does",
    "call consistent": "that it does not, if it keeps its rate",
}


def by_answer(takes: Needed) -> dict[str, float]:
    """Exposure for each answer, in failures expected at the stated rate."""
    return dict(zip(ANSWERS, (takes.to_demonstrate, takes.to_detect, takes.to_call_consistent), strict=True))


def write_needed(takes: Needed, drives: int | None) -> None:
    """Exposure for each answer from nothing, and how long the drives at hand would take."""
    columns = [("To show", "left"), ("Failures expected", "right"), ("Drive-years", "right")]
    columns += [(f"With {counted(drives, 'drive')}", "right")] if drives else []
    write_table(
        f"What it takes, from nothing, at a stated {percent(takes.stated)} %",
        columns,
        [
            [
                ANSWERS[answer],
                significant(expected, LIMIT_DIGITS),
                years_at_risk(takes.drive_years(expected)).split()[0],
                *([_time(takes.drive_years(expected) / drives)] if drives else []),
            ]
            for answer, expected in by_answer(takes).items()
        ],
    )


def _time(years: float) -> str:
    return f"{significant(years)} years" if years >= 1 else f"{significant(MONTHS_PER_YEAR * years)} months"


def purchases(texts: Sequence[str] | None) -> tuple[Purchase, ...]:
    """Read purchases written as 2027-03-01:40. Raises QuestionError for any that is none."""
    found = []
    for text in texts or ():
        day, _, drives = text.partition(":")
        if not drives.strip().isdecimal():
            raise QuestionError(
                f"--purchase {text} is no day with a number of drives; write it as 2027-03-01:40."
            )
        when = day_of("--purchase", day)
        assert when is not None  # noqa: S101  (only no text gives no day)
        found.append(Purchase(when, int(drives)))
    return tuple(sorted(found, key=lambda each: each.day))


def growing_fleet(
    drives: int, since: str | None, bought: Sequence[str] | None, *, data_end: date | None
) -> GrowingFleet:
    """The drives at hand and to come, from a day on: as given, else the day after the data, else today (UTC)."""
    begin = day_of("--since", since)
    if begin is None:
        begin = datetime.now(UTC).date() if data_end is None else date.fromordinal(data_end.toordinal() + 1)
    return GrowingFleet(drives, begin, purchases(bought))


@dataclass(frozen=True, slots=True)
class When:
    """For each answer, the further drive-years that it takes, and the day on which the fleet has run them."""

    fleet: GrowingFleet
    takes: Needed

    def answers(self) -> list[tuple[str, float, date | None]]:
        """By the answer's name; without a day if it is further off than anybody plans."""
        more = {
            answer: self.takes.drive_years(expected) for answer, expected in by_answer(self.takes).items()
        }
        return [(answer, years, self.fleet.day_with(years)) for answer, years in more.items()]

    def row(self) -> dict[str, object]:
        """As JSON has it."""
        return {
            "since": self.fleet.since,
            "drives": self.fleet.drives,
            "purchases": [{"day": each.day, "drives": each.drives} for each in self.fleet.purchases],
            "answers": [
                {"answer": answer, "more_drive_years": years, "day": day}
                for answer, years, day in self.answers()
            ],
        }

    def write(self) -> None:
        """As people read it."""
        bought = "".join(f", and {each.drives:,} from {each.day} on" for each in self.fleet.purchases)
        write_table(
            "When there will be enough",
            [("To show", "left"), ("More drive-years", "right"), ("Reached on", "left")],
            [
                [ANSWERS[answer], _more(years), "there is enough" if not years else _day(day)]
                for answer, years, day in self.answers()
            ],
        )
        out().print(
            f"With {counted(self.fleet.drives, 'drive')} from {self.fleet.since} on{bought}; each that fails or is "
            "retired is taken to be replaced on the same day.",
            markup=False,
        )


def _more(years: float) -> str:
    return "0" if not years else years_at_risk(years).split()[0]


def _day(day: date | None) -> str:
    return f"not within {HORIZON_YEARS} years" if day is None else str(day)
