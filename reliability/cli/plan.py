"""`driveyears plan`: what a sample says, and what it takes to say more; no store is needed."""

from __future__ import annotations

import math
from typing import Annotated

from cyclopts import Parameter

from reliability.cli import plan_table
from reliability.cli.options import DEFAULT_STORE, Format, StoreFolder
from reliability.cli.output import out, write_csv, write_json, write_table
from reliability.cli.plan_needed import When, growing_fleet, write_needed
from reliability.cli.plan_sample import Sample, sample_of_model, told_sample
from reliability.cli.plan_sequential import SequentialTest, sequential_test
from reliability.cli.whole import whole
from reliability.cli.words import limits, percent_or_dash
from reliability.comparer.stated import Comparison
from reliability.comparer.stated import compare as compare_with
from reliability.comparer.vanished import vanished_bounds
from reliability.digits import percent, significant, years_at_risk
from reliability.errors import QuestionError
from reliability.planning.needed import Needed, needed
from reliability.units import HOURS_PER_YEAR, rate_from_mtbf

LEVEL = 0.95
RISK = 0.1  # of a sequential test, either way
NESTED = ("table", "when", "sequential")  # not in the CSV


def plan(  # noqa: PLR0913  (each is an option)
    *,
    failures: Annotated[
        int | None, Parameter(converter=whole, help="drives that failed in the sample, or are imagined to")
    ] = None,
    drives: Annotated[
        int | None, Parameter(converter=whole, help="drives in the sample, with --days")
    ] = None,
    days: Annotated[float | None, Parameter(help="days that each of them ran")] = None,
    drive_years: Annotated[float | None, Parameter(help="exposure, in place of --drives and --days")] = None,
    model: Annotated[
        str | None, Parameter(help="a model of the store, in place of a sample: all that was seen of it")
    ] = None,
    stated_mtbf: Annotated[float | None, Parameter(help="stated MTBF, hours")] = None,
    stated_afr: Annotated[
        float | None, Parameter(help="stated AFR, percent a year, in place of --stated-mtbf")
    ] = None,
    fleet_drives: Annotated[
        int | None,
        Parameter(converter=whole, help="drives that go on running, to tell when there will be enough"),
    ] = None,
    purchase: Annotated[
        list[str] | None,
        Parameter(help="drives that join them, as 2027-03-01:40; once for each purchase", negative=()),
    ] = None,
    since: Annotated[
        str | None, Parameter(help="first day that they run on; without one, after the data or today")
    ] = None,
    table_drives: Annotated[str | None, Parameter(help="drives in the tables, as 12,120")] = None,
    table_months: Annotated[str | None, Parameter(help="months in the tables, as 6,12,24")] = None,
    sequential: Annotated[
        float | None,
        Parameter(help="a test that ends as soon as it can: the stated rate against so many times it"),
    ] = None,
    producers_risk: Annotated[
        float | None, Parameter(help="chance that it refuses drives that keep their stated rate; else 0.1")
    ] = None,
    consumers_risk: Annotated[
        float | None,
        Parameter(help="chance that it accepts drives that fail so many times as often; else 0.1"),
    ] = None,
    store: StoreFolder = DEFAULT_STORE,
    shown_as: Format = "table",
) -> None:
    """What a sample says of a stated rate, and what it takes to say more; without a sample the latter alone."""
    told = (failures, drives, days, drive_years)
    sample = told_sample(*told) if model is None else sample_of_model(model, store, told)
    stated = _stated(stated_mtbf, stated_afr)
    said, takes = compare_with(sample.rate, stated, level=LEVEL), needed(stated, level=LEVEL)
    table = plan_table.grid(stated, table_drives, table_months, sample.drives, LEVEL)
    when = _when(sample, stated, fleet_drives, purchase, since, in_store=model is not None)
    test = _test(stated, sequential, producers_risk, consumers_risk)
    bounds = vanished_bounds(sample.rate, sample.vanished, stated, level=LEVEL)
    row = _row(said, takes) | {
        "vanished": sample.vanished,
        "depends_on_vanished": bounds.depends,
        "table": plan_table.rows(table),
        "when": None if when is None else when.row(),
        "sequential": None if test is None else test.row(),
    }
    if shown_as == "json":
        write_json(row)
    elif shown_as == "csv":
        write_csv([row], [name for name in row if name not in NESTED])
    else:
        if model is not None or sample.rate.drive_days:
            _write_sample(said)
        if sample.vanished:
            out().print(f"    {bounds.sentence} ({said.look})", markup=False)
        write_needed(takes, sample.drives)
        for each in (when, test):
            if each is not None:
                each.write()
        plan_table.write(table)
        out().print(CAUTION)


def _when(  # noqa: PLR0913  (each is an option)
    sample: Sample,
    stated: float,
    drives: int | None,
    purchase: list[str] | None,
    since: str | None,
    *,
    in_store: bool,
) -> When | None:
    """When the fleet will have enough, if that was asked: by its drives, its purchases or its model."""
    if drives is None and purchase is None and not in_store:
        if since is not None:
            raise QuestionError(
                f"--since {since} tells of no fleet; add --fleet-drives, --purchase or --model."
            )
        return None
    running = next((count for count in (drives, sample.drives) if count is not None), 0)
    takes = needed(stated, level=LEVEL, failures=sample.rate.failures, drive_years=sample.rate.drive_years)
    return When(growing_fleet(running, since, purchase, data_end=sample.data_end), takes)


def _test(
    stated: float, ratio: float | None, producers_risk: float | None, consumers_risk: float | None
) -> SequentialTest | None:
    """The sequential test, if one was asked for."""
    risks = {"--producers-risk": producers_risk, "--consumers-risk": consumers_risk}
    if ratio is not None:
        producers, consumers = (RISK if risk is None else risk for risk in risks.values())
        return sequential_test(stated, ratio, (producers, consumers))
    for option, risk in risks.items():
        if risk is not None:
            raise QuestionError(f"{option} {risk:g} tells of no test; add --sequential.")
    return None


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
    rate = rate_from_mtbf(mtbf_hours) if mtbf_hours is not None else (afr_percent or 0.0) / 100
    if rate > HOURS_PER_YEAR:
        option = "--stated-mtbf" if afr_percent is None else "--stated-afr"
        unit = "hours" if afr_percent is None else "percent a year"
        value = mtbf_hours if afr_percent is None else afr_percent
        raise QuestionError(f"{option} {value:g} is more than a failure an hour for each drive; give {unit}.")
    return rate


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


CAUTION = (
    "Too little: fewer than one failure is expected at the stated rate, so that only five times that rate or more "
    "could show. All this is for one planned look and drives that fail independently. A stated rate holds for the "
    "useful life, and for its own load and heat. What is not found is not shown to be absent. "
    "A rate speaks of a fleet, never of one drive; a low one is no substitute for backups."
)
