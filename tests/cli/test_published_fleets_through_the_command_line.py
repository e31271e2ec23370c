"""Published lifetimes as a fleet, through the command line: failures, exposure and rate come back exactly."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from dirty.writers import write_files, write_log
from published_fleet import PublishedFleet, channing_residents, generator_fans

from reliability import InvalidLife, risk_table
from reliability.cli.main import main
from reliability.units import HOURS_PER_YEAR, rate_from_mtbf

PUBLISHED = Path(__file__).parents[1] / "references" / "published.json"
HOURS_A_FLEET_DAY = 10  # of the fans: all published hours are multiples of it


def loaded(fleet: PublishedFleet, folder: Path) -> Path:
    write_files(fleet.files, folder / "files")
    log = write_log(fleet.log, folder / "removals.csv")
    store = folder / "fleet"
    assert main(["load", str(folder / "files"), "--removals", str(log), "--store", str(store)]) == 0
    return store


def asked(capsys: pytest.CaptureFixture[str], *arguments: str) -> Any:  # noqa: ANN401  (whatever JSON holds)
    capsys.readouterr()
    assert main([*arguments, "--format", "json"]) == 0
    return json.loads(capsys.readouterr().out)


def test_the_fans_give_back_failures_hours_and_exact_limits(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    # genfan_exp: 70 diesel-generator fans, Nelson (1982); limits by the time-terminated chi-square rule
    groups = json.loads(PUBLISHED.read_text(encoding="utf-8"))["groups"]
    (published,) = (e["expected"] for e in groups["chi_square_mtbf_limits"] if e["id"] == "genfan_exp")
    store = loaded(generator_fans(), tmp_path)
    total = asked(capsys, "rates", "--store", str(store))["total"]
    hours = HOURS_A_FLEET_DAY * total["drive_days"]
    assert (total["failures"], hours, total["drives"]) == (published["r"], published["T"], 70)
    # A rate per drive-year of 365 fleet days, told back in published hours.
    in_hours = 365 * HOURS_A_FLEET_DAY
    assert in_hours / total["afr"] == pytest.approx(published["mttf"], rel=1e-9)
    assert in_hours / total["afr_high"] == pytest.approx(published["lo"], rel=1e-9)
    assert in_hours / total["afr_low"] == pytest.approx(published["hi"], rel=1e-9)


def test_each_resident_is_at_risk_from_the_age_of_entry(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    # channing.csv, Hyde (1977): ages in months at entry and exit, here days; late entry comes from the first hours
    fleet = channing_residents()
    store = loaded(fleet, tmp_path)
    rows = asked(capsys, "rates", "--by", "batch", "--store", str(store))["rows"]
    expected = {
        sex: (
            sum(unit.batch == sex for unit in fleet.units),
            sum(unit.days for unit in fleet.units if unit.batch == sex),
            sum(unit.failed for unit in fleet.units if unit.batch == sex),
        )
        for sex in ("female", "male")
    }
    assert {row["batch"]: (row["drives"], row["drive_days"], row["failures"]) for row in rows} == expected
    ages = asked(capsys, "rates", "--by", "age", "--store", str(store))
    assert ages["left_out"] == {"drives": 0, "drive_days": 0, "failures": 0}
    in_band = sum(
        max(0, min(unit.exit, 1095) - max(unit.entry, 730)) for unit in fleet.units
    )  # days in the third year of age, counted from the published ages
    assert {row["age_from_days"]: row["drive_days"] for row in ages["rows"]}[730] == in_band


def test_the_four_who_left_when_they_came_are_refused_by_name() -> None:
    fleet = channing_residents()
    units = [*fleet.units, *fleet.left_out]
    with pytest.raises(InvalidLife) as refused:
        risk_table(
            [unit.entry for unit in units],
            [unit.exit for unit in units],
            ["failed" if unit.failed else "retired" for unit in units],
            [unit.serial for unit in units],
        )
    assert "4 of 462 lives" in str(refused.value)
    assert fleet.left_out[0].serial in str(refused.value)


@pytest.mark.parametrize(("mtbf_hours", "percent"), [(2_500_000, 0.35), (1_000_000, 0.88)])
def test_facts_of_the_trade(mtbf_hours: float, percent: float) -> None:
    # common practice, no source: 2.5 million hours is 0.35 % a year; Schroeder & Gibson (FAST 2007): an MTTF of
    # 1.0 to 1.5 million hours is a nominal annual rate of at most 0.88 %
    assert HOURS_PER_YEAR == 8760
    assert round(100 * rate_from_mtbf(mtbf_hours), 2) == percent
