"""`driveyears plan`: what it tells programs and people, and what it refuses."""

from __future__ import annotations

import csv
import io
import json
import math
from typing import Any

import pytest
from fresh_python import fresh_python
from scipy.stats import chi2, poisson

from reliability.cli.main import main

KEYS = [
    "drive_years",
    "failures",
    "afr",
    "afr_low",
    "afr_high",
    "afr_upper_one_sided",
    "stated_rate",
    "p_value",
    "verdict",
    "sentence",
    "more_drive_years",
    "drive_years_to_demonstrate",
    "drive_years_to_detect_double",
    "drive_years_to_call_consistent",
    "vanished",
    "depends_on_vanished",
    "table",
    "when",
    "sequential",
]
NESTED = {"table", "when", "sequential"}
STATED = ("--stated-mtbf", "2500000")
TWELVE = ("--drives", "12", "--days", "365", "--failures", "0")


def asked(capsys: pytest.CaptureFixture[str], *arguments: str) -> dict[str, Any]:
    capsys.readouterr()
    assert main(["plan", *arguments, "--format", "json"]) == 0
    told: dict[str, Any] = json.loads(capsys.readouterr().out)
    return told


def printed(capsys: pytest.CaptureFixture[str], *arguments: str) -> str:
    capsys.readouterr()
    assert main(["plan", *arguments]) == 0
    return capsys.readouterr().out


def test_twelve_drives_for_a_year_say_next_to_nothing(capsys: pytest.CaptureFixture[str]) -> None:
    told = asked(capsys, *TWELVE, *STATED)
    assert list(told) == KEYS
    assert (told["drive_years"], told["failures"], told["afr"], told["afr_low"]) == (12, 0, 0, 0)
    assert told["afr_high"] == pytest.approx(chi2.ppf(0.975, 2) / 2 / 12)
    assert told["afr_upper_one_sided"] == pytest.approx(-math.log(0.05) / 12)
    assert told["stated_rate"] == pytest.approx(0.003504, rel=1e-12)
    assert told["verdict"] == "too little"
    assert told["sentence"].startswith(
        "No failure in 12 drive-years; AFR at most 25.0 % (one-sided 95 %). Too"
    )
    assert told["drive_years_to_demonstrate"] == pytest.approx(-math.log(0.05) / 0.003504)
    # in failures expected at the stated rate: 12.4 to find twice that rate, 13.6 to exclude it
    assert round(told["drive_years_to_detect_double"] * told["stated_rate"], 1) == 12.4
    assert round(told["drive_years_to_call_consistent"] * told["stated_rate"], 1) == 13.6


def test_one_drive_for_five_hundred_hours(capsys: pytest.CaptureFixture[str]) -> None:
    told = asked(capsys, "--drives", "1", "--days", str(500 / 24), "--failures", "0", *STATED)
    assert told["drive_years"] == pytest.approx(500 / 8760)
    assert told["afr_upper_one_sided"] == pytest.approx(-math.log(0.05) * 8760 / 500)  # over 5000 % a year
    assert (told["verdict"], told["p_value"]) == ("too little", 1)
    assert told["more_drive_years"] == 3900


@pytest.mark.parametrize(
    ("failures", "drive_years", "verdict"),
    [(10, 1000, "worse"), (1, 3000, "better"), (14, 4000, "consistent"), (4, 1000, "too little")],
)
def test_each_verdict(
    failures: int, drive_years: int, verdict: str, capsys: pytest.CaptureFixture[str]
) -> None:
    sample = ("--drive-years", str(drive_years), "--failures", str(failures))
    told = asked(capsys, *sample, "--stated-afr", "0.35")
    assert told["verdict"] == verdict
    assert (told["more_drive_years"] is None) == (verdict != "too little")
    expected = 0.0035 * drive_years
    tails = poisson.cdf(failures, expected), poisson.sf(failures - 1, expected)
    assert told["p_value"] == pytest.approx(min(1, 2 * min(tails)))


def test_from_nothing_the_rate_is_unknown(capsys: pytest.CaptureFixture[str]) -> None:
    told = asked(capsys, "--drive-years", "0", "--failures", "0", "--stated-afr", "0.35")
    assert (told["afr"], told["afr_low"], told["afr_high"], told["afr_upper_one_sided"]) == (
        None,
        0,
        None,
        None,
    )
    assert (told["more_drive_years"], told["verdict"]) == (3900, "too little")


def test_csv_is_the_same_in_one_row(capsys: pytest.CaptureFixture[str]) -> None:
    told = asked(capsys, *TWELVE, *STATED)
    (row,) = csv.DictReader(io.StringIO(printed(capsys, *TWELVE, *STATED, "--format", "csv")))
    flat = {name: value for name, value in told.items() if name not in NESTED}
    assert row == {name: "" if value is None else str(value) for name, value in flat.items()}


def test_people_read_what_it_says_and_takes(capsys: pytest.CaptureFixture[str]) -> None:
    page = printed(capsys, *TWELVE, *STATED)
    assert "With 12 drives" in page
    assert "71 years" in page  # 855 drive-years by 12 drives
    assert asked(capsys, *TWELVE, *STATED)["sentence"] in page
    assert "no substitute for backups" in page
    rows = {line.split()[0]: line.split()[1:] for line in page.splitlines() if "too little" in line}
    assert rows["120"][:4] == ["too", "little", "too", "little"]  # 0.42 failures expected in a year
    assert "With 1 drive\n" in printed(capsys, "--drives", "1", "--days", "9", "--failures", "0", *STATED)
    assert "With" not in printed(capsys, "--drive-years", "9", "--failures", "0", *STATED)


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (("--failures", "0", *STATED), "--drives with --days, or --drive-years, and neither was given; give"),
        ((*TWELVE, "--drive-years", "3", *STATED), "--drive-years, and both were given; give one"),
        (("--drives", "12", "--failures", "0", *STATED), "--drives alone is no exposure; add the other"),
        (("--days", "12", "--failures", "0", *STATED), "--days alone is no exposure; add the other"),
        (("--drives", "-3", "--days", "9", "--failures", "0", *STATED), "--drives -3 is no exposure"),
        (("--drives", "3", "--days", "-9", "--failures", "0", *STATED), "--days -9.0 is no exposure"),
        (("--drive-years", "nan", "--failures", "0", *STATED), "--drive-years nan is no exposure"),
        (("--drive-years", "3", "--failures", "-1", *STATED), "-1 failures cannot be counted"),
        (("--drive-years", "0", "--failures", "2", *STATED), "2 failures in 0 drive-days cannot be"),
        (TWELVE, "--stated-mtbf or --stated-afr, and neither was given; give one"),
        ((*TWELVE, *STATED, "--stated-afr", "0.35"), "--stated-mtbf or --stated-afr, and both were given"),
        ((*TWELVE, "--stated-mtbf", "0"), "--stated-mtbf 0.0 states nothing; give a number above 0."),
        ((*TWELVE, "--stated-afr", "-0.35"), "--stated-afr -0.35 states nothing; give a number above 0."),
        ((*TWELVE, "--stated-afr", "inf"), "--stated-afr inf states nothing"),
        (
            (*TWELVE, "--stated-afr", "1e9"),
            "--stated-afr 1e+09 is more than a failure an hour for each drive; give percent",
        ),
        (
            (*TWELVE, "--stated-mtbf", "0.5"),
            "--stated-mtbf 0.5 is more than a failure an hour for each drive; give hours.",
        ),
        (
            ("--drives", "12", "--days", "365", *STATED),
            "--failures is missing; give the drives that failed in the sample",
        ),
        ((*TWELVE, "--stated-afr", "low"), "low"),
        (
            ("--drives", "1.5", "--days", "365", "--failures", "0", *STATED),
            "--drives 1.5 is no whole number; write",
        ),
        (("--drive-years", "9", "--failures", "x", *STATED), "--failures x is no whole number; write"),
    ],
)
def test_what_is_wrong_is_told_in_one_sentence(
    arguments: tuple[str, ...], says: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["plan", *arguments]) == 2
    told = capsys.readouterr()
    assert told.out == ""
    assert told.err.startswith("driveyears: ")
    assert says in told.err
    assert told.err.count("\n") == 1


def test_no_engine_and_no_frame_is_loaded_for_it() -> None:
    code = (
        "import sys; from reliability.cli.main import main; "
        f"assert main(['plan', *{[*TWELVE, *STATED]!r}]) == 0; print('loaded:', *sys.modules)"
    )
    loaded = set(fresh_python("-c", code).rpartition("loaded:")[2].split())
    assert "scipy.special" in loaded
    assert loaded & {"duckdb", "pandas", "scipy.stats", "scipy.optimize", "matplotlib", "jinja2"} == set()
