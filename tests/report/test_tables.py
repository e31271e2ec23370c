from __future__ import annotations

import csv
import io
import math

import pytest

from reliability.quarter import Quarter
from reliability.report import numbers
from reliability.report.contents import Contents, gather
from reliability.report.page import page
from reliability.report.tables import tables
from report.html_walk import walk
from report.sheets import SHEETS
from report.stand_in import invented


@pytest.fixture(scope="module")
def contents() -> Contents:
    return gather(invented(), SHEETS, Quarter(2026, 3), command="driveyears report")


def rows(contents: Contents, name: str) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(tables(contents)[name])))


def test_the_same_contents_give_the_same_tables(contents: Contents) -> None:
    assert tables(contents) == tables(contents)
    assert list(tables(contents)) == [
        "verdicts.csv",
        "running.csv",
        "spread.csv",
        "quarters.csv",
        "ages.csv",
        "ranking.csv",
        "pairs.csv",
        "survival.csv",
        "weibull.csv",
        "incidence.csv",
        "forecast.csv",
        "sources.csv",
        "set_aside.csv",
        "checks.csv",
    ]


def test_every_verdict_is_that_of_its_line(contents: Contents) -> None:
    found = rows(contents, "verdicts.csv")
    assert len(found) == len(contents.lines) == 7
    for row, line in zip(found, contents.lines, strict=True):
        assert row["model"] == line.model
        assert int(row["failures"]) == line.seen.rate.failures
        assert float(row["drive_days"]) == line.seen.rate.drive_days
        assert (row["afr"] or "None") == str(line.seen.rate.per_year)
        assert float(row["afr_low"]) == line.interval.low
        assert (row["afr_high"] or "inf") == str(line.interval.high)
        assert row["verdict"] == ("" if line.verdict is None else line.verdict.value)
        assert row["sentence"] == ("" if line.comparison is None else line.comparison.sentence)
        assert row["p_value"] == ("" if line.comparison is None else str(line.comparison.p_value))
        assert int(row["vanished"]) == line.seen.vanished
        assert bool(row["worst_afr"]) == (line.vanished is not None)
        assert int(row["preemptive"]) == line.preemptive.count
        assert (row["preemptive_afr"] or "None") == str(line.preemptive.counted.per_year)


def test_without_exposure_rate_and_upper_limit_are_empty(contents: Contents) -> None:
    (row,) = [row for row in rows(contents, "verdicts.csv") if row["model"] == "Pell R1"]
    assert (row["drive_days"], row["afr"], row["afr_low"], row["afr_high"]) == ("0", "", "0.0", "")
    assert row["verdict"] == "too little"


def test_quarters_and_ages_are_every_cell_of_their_grids(contents: Contents) -> None:
    quarters, ages = rows(contents, "quarters.csv"), rows(contents, "ages.csv")
    assert len(quarters) == 6 * 8
    assert len(ages) == len(contents.by_age.rows) * len(contents.by_age.columns)
    for found, grid in ((quarters, contents.by_quarter.rows), (ages, contents.by_age.rows)):
        estimates = [each for model in grid for each in model.estimates]
        for row, each in zip(found, estimates, strict=True):
            assert (int(row["drives"]), int(row["failures"])) == (each.drives, each.rate.failures)
            assert float(row["drive_days"]) == each.rate.drive_days
    assert {row["age_from_days"] for row in ages} == {str(band.from_days) for band in contents.by_age.columns}


def test_the_steps_are_those_of_the_curves_and_the_whole_years_of_the_page(contents: Contents) -> None:
    found = rows(contents, "survival.csv")
    for model in contents.survival.models:
        curve, mine = model.found.curve, [row for row in found if row["model"] == model.model]
        steps = [row for row in mine if row["failures"] != "0"]
        assert [float(row["age_days"]) for row in steps] == curve.ages.tolist()
        assert [float(row["survival"]) for row in steps] == curve.survival.tolist()
        assert [float(row["low"]) if row["low"] else None for row in steps] == curve.low.tolist()
        assert [float(row["age_days"]) for row in mine] == sorted(float(row["age_days"]) for row in mine)
        told = {float(row["age_days"]): row["survival"] for row in mine}
        years = {each.age_days: each.survival for each in model.found.at if each.survival is not None}
        assert {age: float(told[age]) for age in years} == years


def test_every_fit_has_its_limits_and_every_refusal_its_reason(contents: Contents) -> None:
    found = {row["model"]: row for row in rows(contents, "weibull.csv")}
    assert list(found) == [model.model for model in contents.survival.models]
    osk = contents.survival.models[-1]
    assert osk.model == "Osk 4"
    assert osk.found.weibull is not None
    assert float(found["Osk 4"]["shape"]) == osk.found.weibull.shape.value
    assert found["Osk 4"]["b10_high"] == str(osk.found.weibull.quantiles[0].age.high)
    assert found["Mauvel P8"]["refused"].startswith("No Weibull fit: 1 failure.")
    assert (found["Mauvel P8"]["shape"], found["Vashtel X20"]["shape"]) == ("", "")
    assert all(bool(row["shape"]) is not bool(row["refused"]) for row in found.values())


def test_shares_and_what_remains_add_up_at_every_age(contents: Contents) -> None:
    found = rows(contents, "incidence.csv")
    assert {row["model"] for row in found} == {model.model for model in contents.survival.drawn}
    for row in found:
        shares = [float(row[name]) for name in ("failed", "retired", "vanished", "remaining")]
        assert sum(shares) == pytest.approx(1)
    last = [row for row in found if row["model"] == "Osk 4"][-1]
    assert float(last["retired"]) > float(last["vanished"]) > 0


def test_sources_files_set_aside_and_checks_are_those_of_the_store(contents: Contents) -> None:
    sources = rows(contents, "sources.csv")
    assert [row["name"] for row in sources] == [each.name for each in contents.reproduction.sources]
    assert sum(int(row["rows_read"]) for row in sources) == contents.accounts.total.rows_read
    assert [row["reason"] for row in rows(contents, "set_aside.csv")] == [
        each.reason for each in contents.accounts.set_aside
    ]
    assert [(row["check"], int(row["findings"])) for row in rows(contents, "checks.csv")] == [
        (each.check, each.findings) for each in contents.accounts.findings
    ]


def test_nothing_is_called_nan_or_none(contents: Contents) -> None:
    for text in tables(contents).values():
        cells = [cell for row in csv.reader(io.StringIO(text)) for cell in row]
        assert not {"nan", "NaN", "None", "inf", "Infinity"} & set(cells)


def test_the_page_shows_every_number_of_the_tables_as_people_write_it(contents: Contents) -> None:
    text = walk(page(contents)).text
    for line in contents.lines:
        row = (
            f"{line.seen.drives:,} {line.seen.rate.failures:,} "
            f"{numbers.drive_years(line.seen.rate.drive_years)} "
        )
        assert row in text
        assert math.isinf(line.interval.high) or numbers.limits(line.interval).replace("\xa0", " ") in text
    for grid_row in (*contents.by_quarter.rows, *contents.by_age.rows):
        for each in grid_row.estimates:
            if each.rate.per_year is None:
                continue
            cell = (
                f"{numbers.percent(each.rate.per_year)} {numbers.limits(each.interval)} "
                f"{each.rate.failures:,} in {numbers.drive_years(each.rate.drive_years)}"
            )
            assert cell.replace("\xa0", " ") in text
    for model in contents.survival.drawn:
        for at in (each for each in model.at if each.survival is not None):
            cell = f"{numbers.survival(at)} {numbers.survival_limits(at)} {at.at_risk:,} at risk"
            assert cell.replace("\xa0", " ") in text
        life = model.found.weibull
        for estimate in () if life is None else (life.scale, life.quantiles[0].age):
            cell = f"{numbers.in_years(estimate.value)} {numbers.estimate_limits(estimate, 365)}"
            assert cell in text
