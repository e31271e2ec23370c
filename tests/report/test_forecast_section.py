"""The section on failures to come: the same on the page, in the table behind it, and from the forecast itself."""

from __future__ import annotations

import csv
import io

import numpy as np
import pytest

from reliability.forecast.model import forecast
from reliability.quarter import Quarter
from reliability.rate import Rate
from reliability.report.contents import Contents, gather
from reliability.report.forecasts import CAUTION, EXPECTED, SEED, backtest_fleet
from reliability.report.page import page
from reliability.report.tables import tables
from report.sheets import SHEETS
from report.stand_in import invented

THIRD = Quarter(2026, 3)


@pytest.fixture(scope="module")
def contents() -> Contents:
    return gather(invented(), SHEETS, THIRD, command="driveyears report")


@pytest.fixture(scope="module")
def rows(contents: Contents) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(tables(contents)["forecast.csv"])))


def test_it_looks_ahead_for_the_quarter_that_follows(contents: Contents) -> None:
    assert contents.forecast.last_day == contents.last_day
    assert contents.forecast.days == 92  # October to December
    assert contents.forecast.total.in_service == contents.in_service


def test_each_model_of_the_fleet_has_its_own_forecast(contents: Contents) -> None:
    """Made here from what the fleet says of the model, with no help of the report."""
    fleet = invented()
    seen = {line.model: line.seen for line in contents.lines if line.seen.drives}
    assert list(contents.forecast.models) == sorted(seen)
    for model, found in contents.forecast.models.items():
        again = forecast(
            fleet.risk_table(model, last_day=THIRD.last_day),
            fleet.standing(THIRD.last_day)[model].drives,
            92,
            rng=np.random.default_rng(SEED),
            rate=Rate(seen[model].rate.failures, seen[model].rate.drive_days),
            dispersion=found.dispersion,
        )
        assert (again.expected, again.interval, again.spares) == (
            found.expected,
            found.interval,
            found.spares,
        )


def test_the_table_behind_the_page_has_every_model_and_the_total(
    contents: Contents, rows: list[dict[str, str]]
) -> None:
    assert [row["model"] for row in rows] == [*contents.forecast.models, ""]
    for row, found in zip(rows, (*contents.forecast.models.values(), contents.forecast.total), strict=True):
        assert float(row["expected"]) == found.expected
        assert (int(row["low"]), int(row["high"])) == (found.interval.low, found.interval.high)
        assert int(row["spares"]) == found.spares
        assert row["from"] == "2026-10-01"


def test_the_page_tells_it_with_its_cautions(contents: Contents) -> None:
    text = page(contents)
    begin = text.index('<section aria-labelledby="forecast">')
    section = text[begin : text.index("</section>", begin)]
    assert "92 days after 30 September 2026" in section
    for words in (EXPECTED, CAUTION, "All together", *contents.forecast.models):
        assert words in section
    assert section.count("<tr>") == len(contents.forecast.models) + 2


def test_a_quarter_has_to_be_whole_and_90_days_in_to_be_tried() -> None:
    """The fleet in memory cannot say what failed later, and is not asked if no quarter is asked for."""
    assert backtest_fleet(invented(), most=0).together == ()
