"""`driveyears plan`: what a sample says, and what it takes to say more; no store is needed."""

from __future__ import annotations

import math
from typing import Annotated

from cyclopts import Parameter

from reliability.cli.chances import chance_in_words
from reliability.cli.options import DEFAULT_STORE, Format, StoreFolder
from reliability.cli.output import out, write_csv, write_json, write_table
from reliability.cli.whole import whole
from reliability.cli.words import limits, percent_or_dash
from reliability.comparer.stated import Comparison
from reliability.comparer.stated import compare as compare_with
from reliability.digits import LIMIT_DIGITS, percent, significant, years_at_risk
from reliability.errors import QuestionError
from reliability.planning.needed import Needed, needed
from reliability.planning.power import Plan, plans
from reliability.rate import Rate
from reliability.units import DAYS_PER_YEAR, MONTHS_PER_YEAR, rate_from_mtbf

LEVEL = 0.95
MONTHS = (3, 12, 36, 60)
FLEETS = (1, 10, 100, 1000)  # times the drives at hand
LEAST_EXPECTED = 1  # failures at the stated rate, below which only gross excess can show
DRIVES = 12  # at hand, where only drive-years are told


def plan(  # noqa: PLR0913  (each is an option)
    *,
    failures: Annotated[
        int, Parameter(converter=whole, help="drives that failed in the sample, or are imagined to")
    ],
    drives: Annotated[
        int | None, Parameter(converter=whole, help="drives in the sample, with --days")
    ] = None,
    days: Annotated[float | None, Parameter(help="days that each of them ran")] = None,
    drive_years: Annotated[float | None, Parameter(help="exposure, in place of --drives and --days")] = None,
    stated_mtbf: Annotated[float | None, Parameter(help="stated MTBF, hours")] = None,
    stated_afr: Annotated[
        float | None, Parameter(help="stated AFR, percent a year, in place of --stated-mtbf")
    ] = None,
    store: StoreFolder = DEFAULT_STORE,  # noqa: ARG001  (every command takes it; this one needs none)
    shown_as: Format = "table",
) -> None:
    """What a sample says of a stated rate, and what it takes to say more. No store is needed."""
    rate = Rate(failures, _drive_days(drives, days, drive_years))
    stated = _stated(stated_mtbf, stated_afr)
    said, takes = compare_with(rate, stated, level=LEVEL), needed(stated, level=LEVEL)
    row = _row(said, takes)
    if shown_as == "json":
        write_json(row)
    elif shown_as == "csv":
        write_csv([row], list(row))
    else:
        _write_sample(said)
        _write_needed(takes, drives)
        _write_chances(stated, drives or DRIVES)
        out().print(CAUTION)


def _drive_days(drives: int | None, days: float | None, drive_years: float | None) -> float:
    counted = drives is not None or days is not None
    if counted == (drive_years is not None):
        given = "both were given" if counted else "neither was given"
        raise QuestionError(
            f"The exposure is --drives with --days, or --drive-years, and {given}; give one of the two."
        )
    if counted and (drives is None or days is None):
        given, missing = ("--days", "--drives 12") if drives is None else ("--drives", "--days 365")
        raise QuestionError(
            f"{given} alone is no exposure; add the other of the two, such as {missing}, or give --drive-years."
        )
    for option, value in (("--drives", drives), ("--days", days), ("--drive-years", drive_years)):
        if value is not None and not 0 <= value < math.inf:
            raise QuestionError(f"{option} {value} is no exposure; give a number, 0 or more.")
    if drive_years is not None:
        return drive_years * DAYS_PER_YEAR
    assert drives is not None  # noqa: S101  (held above; this tells mypy)
    assert days is not None  # noqa: S101  (the same)
    return drives * days


def _stated(mtbf_hours: float | None, afr_percent: float | None) -> float:
    """The stated rate; an AFR is read as a rate."""
    if (mtbf_hours is None) == (afr_percent is None):
        given = "neither was given" if mtbf_hours is None else "both were given"
        raise QuestionError(
            f"What is stated is --stated-mtbf or --stated-afr, and {given}; give one of the two."
        )
    for option, value in (("--stated-mtbf", mtbf_hours), ("--stated-afr", afr_percent)):
        if value is not None and not 0 < value < math.inf:
            raise QuestionError(f"{option} {value} states nothing; give a number above 0.")
    return rate_from_mtbf(mtbf_hours) if mtbf_hours is not None else (afr_percent or 0.0) / 100


def _row(said: Comparison, takes: Needed) -> dict[str, object]:
    return {
        "drive_years": said.rate.drive_years,
        "failures": said.rate.failures,
        "afr": said.rate.per_year,
        "afr_low": said.interval.low,
        "afr_high": said.interval.high,
        "afr_upper_one_sided": said.rate.upper_one_sided(LEVEL),
        "stated_rate": said.stated,
        "p_value": said.p_value,
        "verdict": said.verdict.value,
        "sentence": said.sentence,
        "more_drive_years": said.more_drive_years,
        "drive_years_to_demonstrate": takes.drive_years(takes.to_demonstrate),
        "drive_years_to_detect_double": takes.drive_years(takes.to_detect),
        "drive_years_to_call_consistent": takes.drive_years(takes.to_call_consistent),
    }


def _write_sample(said: Comparison) -> None:
    rate = said.rate
    headings = ("Drive-years", "Failures", "Expected", "Rate per year (95 %)", "Stated", "Verdict")
    write_table(
        "What the sample says",
        [(name, "left" if name == "Verdict" else "right") for name in headings],
        [
            [
                years_at_risk(rate.drive_years).split()[0],
                f"{rate.failures:,}",
                significant(said.expected_failures),
                f"{percent_or_dash(rate.per_year)} {limits(rate, LEVEL)}",
                f"{percent(said.stated)} %",
                said.verdict.value,
            ]
        ],
    )
    out().print(said.sentence, markup=False)


def _write_needed(takes: Needed, drives: int | None) -> None:
    """Exposure for each answer, and how long the drives at hand would take."""
    answers = (
        ("that the rate is at most as stated, if none fails", takes.to_demonstrate),
        ("that a model fails twice as often, if it does", takes.to_detect),
        ("that it does not, if it keeps its rate", takes.to_call_consistent),
    )
    columns = [("To show", "left"), ("Failures expected", "right"), ("Drive-years", "right")]
    columns += [(f"With {drives:,} drives" if drives != 1 else "With 1 drive", "right")] if drives else []
    write_table(
        f"What it takes, from nothing, at a stated {percent(takes.stated)} %",
        columns,
        [
            [
                answer,
                significant(expected, LIMIT_DIGITS),
                years_at_risk(takes.drive_years(expected)).split()[0],
                *([_time(takes.drive_years(expected) / drives)] if drives else []),
            ]
            for answer, expected in answers
        ],
    )


def _time(years: float) -> str:
    return f"{significant(years)} years" if years >= 1 else f"{significant(MONTHS_PER_YEAR * years)} months"


def _write_chances(stated: float, drives: int) -> None:
    grid = plans([drives * times for times in FLEETS], MONTHS, stated, level=LEVEL)
    write_table(
        "Chance to find a model that fails twice as often as stated",
        [("Drives", "right"), *((f"{months} months", "right") for months in MONTHS)],
        [[f"{row[0].drives:,}", *(_chance(each) for each in row)] for row in grid],
    )


def _chance(plan: Plan) -> str:
    """Where the first failure is already too many, a good model is flagged half as often as one twice as bad."""
    return "too little" if plan.expected < LEAST_EXPECTED else chance_in_words(plan.chance_to_find)


CAUTION = (
    "Too little: fewer than one failure is expected at the stated rate, so that only five times that rate or more "
    "could show. All this is for one planned look and drives that fail independently. A stated rate holds for the "
    "useful life, and for its own load and heat. What is not found is not shown to be absent. "
    "A rate speaks of a fleet, never of one drive; a low one is no substitute for backups."
)
