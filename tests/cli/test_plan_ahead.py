"""`driveyears plan` ahead of time: when a fleet will have enough, drives by months, tests that end early."""

from __future__ import annotations

import math
from datetime import UTC, date, datetime, timedelta
from typing import TYPE_CHECKING, Any

import pytest
from scipy.stats import chi2, poisson
from tiny_stores import FIRST, csv_of, loaded, put, rows, said

from reliability.comparer.stated import more_drive_years
from reliability.digits import round_up
from reliability.rate import Rate

if TYPE_CHECKING:
    from pathlib import Path

SAMPLE = ("--drives", "40", "--days", "365", "--failures", "1", "--stated-afr", "1")


def asked(capsys: pytest.CaptureFixture[str], *arguments: object) -> dict[str, Any]:
    found = said(capsys, "plan", *arguments, "--format", "json")
    assert (found.code, found.err) == (0, "")
    told: dict[str, Any] = found.json
    return told


def test_the_days_are_those_on_which_the_exposure_is_there(capsys: pytest.CaptureFixture[str]) -> None:
    bought = ("--purchase", "2028-01-01:400", "--purchase", "2027-03-01:60")
    told = asked(capsys, *SAMPLE, "--since", "2026-07-01", *bought)["when"]
    assert (told["since"], told["drives"]) == ("2026-07-01", 40)
    assert told["purchases"] == [{"day": "2027-03-01", "drives": 60}, {"day": "2028-01-01", "drives": 400}]
    answers = {each["answer"]: each for each in told["answers"]}
    assert list(answers) == ["demonstrate", "detect double", "call consistent"]
    for each in answers.values():
        reached = date.fromisoformat(each["day"])
        assert run_by(reached - timedelta(days=1)) < 365 * each["more_drive_years"] <= run_by(reached)
    # one failure was seen in 40 drive-years: as in decision tables of a Poisson mean, chi2(0.95; 4)/2 at 1 % a year
    assert answers["demonstrate"]["more_drive_years"] == pytest.approx(chi2.ppf(0.95, 4) / 2 / 0.01 - 40)
    both = max(answers[name]["more_drive_years"] for name in ("detect double", "call consistent"))
    assert round_up(both) == more_drive_years(Rate(1, 40 * 365), 0.01)


def run_by(day: date) -> int:
    """Drive-days by the end of a day."""
    fleet = ((date(2026, 7, 1), 40), (date(2027, 3, 1), 60), (date(2028, 1, 1), 400))
    return sum(drives * max(0, (day - begin).days + 1) for begin, drives in fleet)


def test_the_drives_that_go_on_may_be_others_than_those_of_the_sample(
    capsys: pytest.CaptureFixture[str],
) -> None:
    told = asked(capsys, *SAMPLE, "--fleet-drives", "1000")["when"]
    assert told["drives"] == 1000
    assert abs(date.fromisoformat(told["since"]) - datetime.now(UTC).date()) <= timedelta(days=1)
    assert asked(capsys, *SAMPLE)["when"] is None


def test_what_is_there_is_said_to_be_and_what_never_comes_too(capsys: pytest.CaptureFixture[str]) -> None:
    sample = ("--drive-years", "100000", "--failures", "900", "--stated-afr", "1", "--fleet-drives", "0")
    told = asked(capsys, *sample)["when"]["answers"]
    assert [each["more_drive_years"] for each in told if each["answer"] != "detect double"] == [0, 0]
    page = said(capsys, "plan", *sample).out
    assert "there is enough" in page
    never = said(
        capsys, "plan", "--drive-years", "0", "--failures", "0", "--stated-afr", "1", "--fleet-drives", "0"
    ).out
    assert "not within 100 years" in never


def test_a_model_of_the_store_takes_the_place_of_the_sample(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    histories = [rows(f"A{number}", range(73)) for number in range(9)]
    history = csv_of(*histories, rows("F", range(73), failed={72: "1"}))
    store = tmp_path / "fleet"
    loaded(capsys, store, put(tmp_path / "a.csv", history))
    told = asked(capsys, "--model", "tarn_t18", "--store", store, "--stated-afr", "20")
    assert (told["failures"], told["drive_years"]) == (1, 2)
    assert told["when"]["drives"] == 9
    assert told["when"]["since"] == (FIRST + timedelta(days=73)).isoformat()
    wrong = said(capsys, "plan", "--model", "ULLA", "--store", store, "--stated-afr", "20")
    assert (wrong.code, wrong.out) == (2, "")
    assert "There is no model 'ULLA' in the store; its models are 'TARN T18'." in wrong.err
    twice = said(
        capsys, "plan", "--model", "TARN T18", "--failures", "1", "--store", store, "--stated-afr", "2"
    )
    assert (twice.code, twice.out) == (2, "")
    assert "--model takes failures and exposure from the store, and others are given as well" in twice.err


def test_what_a_model_says_may_depend_on_drives_that_vanished(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    gone = [rows(f"V{number}", range(9)) for number in range(6)]
    stay = [rows(f"A{number}", range(73)) for number in range(10)]
    store = tmp_path / "fleet"
    loaded(capsys, store, put(tmp_path / "a.csv", csv_of(*gone, *stay)))
    question = ("--model", "TARN T18", "--store", store, "--stated-afr", "20")
    told = asked(capsys, *question)
    assert (told["verdict"], told["vanished"], told["depends_on_vanished"]) == ("too little", 6, True)
    page = said(capsys, "plan", *question).out
    assert "    Depends on the 6 drives that vanished: best case AFR 0 %" in page
    told = asked(capsys, *SAMPLE)
    assert (told["vanished"], told["depends_on_vanished"]) == (0, False)


def test_tables_of_drives_by_months(capsys: pytest.CaptureFixture[str]) -> None:
    told = asked(capsys, *SAMPLE, "--table-drives", "100,2400", "--table-months", "1.5,24")["table"]
    assert [(each["drives"], each["months"]) for each in told] == [
        (100, 1.5),
        (100, 24),
        (2400, 1.5),
        (2400, 24),
    ]
    for each in told:
        years = each["drives"] * each["months"] / 12
        expected = 0.01 * years
        assert each["drive_years"] == pytest.approx(years)
        assert each["afr_upper_if_none_fails"] == pytest.approx(-math.log(0.05) / years)
        finds = [n for n in range(400) if n and chi2.ppf(0.025, 2 * n) / 2 > expected]
        assert each["chance_to_detect_double"] == pytest.approx(poisson.sf(finds[0] - 1, 2 * expected))
        calls = [n for n in range(400) if chi2.ppf(0.975, 2 * n + 2) / 2 < 2 * expected]
        chance = poisson.cdf(calls[-1], expected) if calls else 0
        assert each["chance_to_call_consistent"] == pytest.approx(chance)
    page = said(capsys, "plan", *SAMPLE, "--table-drives", "100,2400", "--table-months", "1.5,24").out
    assert page.count("Drives   1.5 months") + page.count("Drives   1.5 months".replace("   ", "     ")) >= 1
    assert page.count("\n 2,400") + page.count("\n2,400") >= 1


def test_a_sequential_test_in_drive_years(capsys: pytest.CaptureFixture[str]) -> None:
    told = asked(capsys, *SAMPLE, "--sequential", "2")["sequential"]
    assert told["times"] == 2
    steps = told["steps"]
    # Wald's line: accept without a failure at ln(0.9/0.1) / (1 - 1/2) times the MTBF at 2 % a year, 50 drive-years
    assert steps[0] == {
        "failures": 0,
        "refuse_by_drive_years": None,
        "accept_at_drive_years": pytest.approx(50 * math.log(9) / 0.5),
    }
    assert steps[-1]["accept_at_drive_years"] is None
    assert steps[-1]["refuse_by_drive_years"] == told["longest_drive_years"]
    assert told["producers_risk"] <= 0.11
    assert told["consumers_risk"] <= 0.11
    assert told["mean_drive_years_as_stated"] < told["fixed"]["drive_years"]
    assert told["fixed"]["failures_allowed"] == 14
    assert told["fixed"]["drive_years"] == pytest.approx(50 * chi2.isf(0.1, 30) / 2)
    strict = asked(
        capsys, *SAMPLE, "--sequential", "2", "--producers-risk", "0.01", "--consumers-risk", "0.02"
    )
    assert strict["sequential"]["producers_risk"] <= 0.011
    assert strict["sequential"]["consumers_risk"] <= 0.022
    page = said(capsys, "plan", *SAMPLE, "--sequential", "2").out
    assert "Sequential test of the stated 1.0 % against 2 times that" in page
    assert "Refuse if a failure comes by the time in its row; accept" in page


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (
            ("--purchase", "2027-03-01"),
            "--purchase 2027-03-01 is no day with a number of drives; write it as",
        ),
        (("--purchase", "2027-03-01:-4"), "--purchase 2027-03-01:-4 is no day with a number of drives"),
        (("--purchase", "2027-03-01:²"), "is no day with a number of drives"),
        (("--purchase", "March:40"), "--purchase March is no day of the calendar; write it as 2026-03-31."),
        (("--purchase", ":40"), "--purchase  is no day of the calendar"),
        (("--purchase", "2027-03-01:0"), "A purchase of 0 drives is none"),
        (("--fleet-drives", "-1"), "A fleet of -1 drives is none"),
        (("--since", "2027-03-01"), "--since 2027-03-01 tells of no fleet; add --fleet-drives"),
        (("--fleet-drives", "9", "--since", "soon"), "--since soon is no day of the calendar"),
        (("--table-drives", "ten"), "--table-drives ten is no list of numbers; write it as 3,12,36."),
        (("--table-drives", "1.5"), "--table-drives 1.5 is no number of drives; give whole ones."),
        (
            ("--table-months", "0,3"),
            "--table-months 0,3 holds what cannot be planned with; give numbers above 0.",
        ),
        (("--table-months", ",".join(["1"] * 21)), "--table-months names 21 numbers; give at most 20."),
        (("--sequential", "1.1"), "A ratio of 1.1 takes hundreds of failures"),
        (("--sequential", "2", "--consumers-risk", "0"), "leave nothing to decide"),
        (("--producers-risk", "0.2"), "--producers-risk 0.2 tells of no test; add --sequential."),
        (("--consumers-risk", "0.1"), "--consumers-risk 0.1 tells of no test; add --sequential."),
        (("--sequential", "nan"), "A ratio of nan tells no two MTBFs apart"),
    ],
)
def test_what_is_wrong_is_told_in_one_sentence(
    arguments: tuple[str, ...], says: str, capsys: pytest.CaptureFixture[str]
) -> None:
    found = said(capsys, "plan", *SAMPLE, *arguments)
    assert (found.code, found.out) == (2, "")
    assert says in found.err
    assert found.err.count("\n") == 1
