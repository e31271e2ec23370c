"""`driveyears rebuild`: what it tells programs and people, from a given rate and from a fleet, and what it refuses."""

from __future__ import annotations

import csv
import io
import json
import math
from typing import TYPE_CHECKING, Any

import pytest
from scipy.stats import binom, chi2

from reliability.cli.main import main

if TYPE_CHECKING:
    from pathlib import Path

PROMISED = ["rebuild_hours", "another_failure", "unreadable", "loss", "loss_low", "loss_high", "multipliers"]
BESIDE = [
    "afr",
    "afr_low",
    "afr_high",
    "years",
    "loss_in_years",
    "loss_in_years_low",
    "loss_in_years_high",
]
FIGURES = {
    "--drives": "10",
    "--parity": "1",
    "--capacity-tb": "30",
    "--mb-per-s": "208",
    "--error-rate": "1e-15",
    "--afr-percent": "1.0",
}


def command(**others: str | None) -> list[str]:
    """The example of the help with other figures; None leaves one out."""
    named = {f"--{name.replace('_', '-')}": value for name, value in others.items()}
    figures = {**FIGURES, **named}
    return ["rebuild", *(w for name, value in figures.items() if value is not None for w in (name, value))]


def asked(capsys: pytest.CaptureFixture[str], **others: str | None) -> dict[str, Any]:
    capsys.readouterr()
    assert main([*command(**others), "--format", "json"]) == 0
    told: dict[str, Any] = json.loads(capsys.readouterr().out)
    return told


def printed(capsys: pytest.CaptureFixture[str], **others: str | None) -> str:
    capsys.readouterr()
    assert main(command(**others)) == 0
    return capsys.readouterr().out


def test_ten_drives_of_thirty_terabytes(capsys: pytest.CaptureFixture[str]) -> None:
    told = asked(capsys)
    assert list(told) == [*PROMISED, *BESIDE]
    hours = 30e12 / 208e6 / 3600
    assert told["rebuild_hours"] == pytest.approx(hours)
    assert round(told["rebuild_hours"]) == 40
    # 9 drives left, each with 1 - exp(-0.01 * 40/8760); 9 x 30 TB to read, 2.16e15 bits
    another = 1 - math.exp(-9 * 0.01 * hours / 8760)
    unreadable = 1 - math.exp(-2.16)
    assert told["another_failure"] == pytest.approx(another, rel=1e-9)
    assert told["unreadable"] == pytest.approx(unreadable, rel=1e-9)
    assert told["loss"] == pytest.approx(1 - (1 - another) * (1 - unreadable), rel=1e-9)
    assert told["loss_low"] == told["loss"] == told["loss_high"]  # the rate was given as one number
    assert [each["times"] for each in told["multipliers"]] == [1, 3, 10]
    assert told["multipliers"][0]["loss"] == told["loss"]
    assert told["multipliers"][0]["loss_in_years"] == told["loss_in_years"]
    losses = [each["loss"] for each in told["multipliers"]]
    assert losses == sorted(losses)


@pytest.mark.parametrize("parity", [1, 2, 3])
def test_without_unreadable_sectors_each_parity_is_a_binomial_tail(
    parity: int, capsys: pytest.CaptureFixture[str]
) -> None:
    told = asked(capsys, parity=str(parity), error_rate="0", afr_percent="20")
    assert told["unreadable"] == 0
    for each in told["multipliers"]:
        chance = 1 - math.exp(-0.2 * each["times"] * told["rebuild_hours"] / 8760)
        assert each["loss"] == pytest.approx(binom.sf(parity - 1, 9, chance), rel=1e-6)


def test_drives_that_never_fail(capsys: pytest.CaptureFixture[str]) -> None:
    single, double = (asked(capsys, parity=parity, afr_percent="0") for parity in ("1", "2"))
    assert (single["another_failure"], single["loss_in_years"]) == (0, 0)
    assert single["loss"] == single["unreadable"]  # one drive has failed, and no other does
    assert double["loss"] == 0


def test_the_years_ahead(capsys: pytest.CaptureFixture[str]) -> None:
    one, five = (asked(capsys, parity="2", years=years) for years in ("1", "5"))
    assert five["years"] == 5
    assert five["loss"] == one["loss"]
    assert five["loss_in_years"] == pytest.approx(5 * one["loss_in_years"], rel=0.01)
    assert "Loss within 5 years" in printed(capsys, years="5")


def test_the_rate_of_a_model_comes_with_its_limits(
    small_store: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    capsys.readouterr()
    assert main(["rates", "--store", str(small_store), "--format", "json"]) == 0
    (marl, _) = json.loads(capsys.readouterr().out)["rows"]
    given = {
        "afr_percent": None,
        "model": "marl_m6",
        "store": str(small_store),
    }  # any spelling that folds to it
    told = asked(capsys, **given)
    assert [told["afr"], told["afr_low"], told["afr_high"]] == [
        marl["afr"],
        marl["afr_low"],
        marl["afr_high"],
    ]
    assert told["afr_low"] == pytest.approx(chi2.ppf(0.025, 8) / 2 / marl["drive_years"])
    assert told["loss_low"] < told["loss"] < told["loss_high"]
    assert told["loss_in_years_low"] < told["loss_in_years"] < told["loss_in_years_high"]
    for name, loss in (("afr_low", "loss_low"), ("afr_high", "loss_high")):
        there = asked(capsys, afr_percent=repr(100 * told[name]))
        assert there["loss"] == pytest.approx(told[loss], rel=1e-9)
    page = printed(capsys, **given)
    assert "its upper limit" in page
    assert "Marl M6: 4 failures in 29 drive-years" in page


def test_a_model_without_a_failure_still_has_an_upper_limit(
    small_store: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    given = {"afr_percent": None, "model": "TARN T18", "store": str(small_store), "parity": "2"}
    told = asked(capsys, **given)
    assert (told["afr"], told["loss"], told["loss_low"]) == (0, 0, 0)
    assert told["loss_high"] > 0
    page = printed(capsys, **given)
    assert "1 drive of it vanished and counts as not failed" in page


def test_csv_is_a_row_for_each_multiplier(capsys: pytest.CaptureFixture[str]) -> None:
    told = asked(capsys)
    rows = list(csv.DictReader(io.StringIO(printed(capsys, format="csv"))))
    assert rows == [{name: str(value) for name, value in each.items()} for each in told["multipliers"]]


def test_people_read_the_cautions(capsys: pytest.CaptureFixture[str]) -> None:
    page = printed(capsys)
    assert "Array of 10 drives of 30 TB, single parity: a rebuild takes 40 hours" in page
    for words in ("independently", "batch", "ceiling", "Redundancy is no backup", "taken as exact"):
        assert words in page
    assert "its upper limit" not in page
    assert "4-fold parity" in printed(capsys, parity="4")


@pytest.mark.parametrize(
    ("others", "says"),
    [
        ({"parity": "10"}, "An array of 10 drives cannot have a parity of 10; give 11 drives or more"),
        ({"parity": "1.4"}, "--parity 1.4 is no whole number"),
        ({"parity": "0"}, "A parity of 0 leaves nothing to rebuild from"),
        ({"drives": "-4"}, "An array of -4 drives cannot have a parity of 1"),
        ({"drives": "1000000"}, "larger than any single group"),
        ({"capacity_tb": "-30"}, "A capacity of -30.0 TB rebuilds nothing"),
        ({"mb_per_s": "0"}, "A speed of 0.0 MB/s rebuilds nothing"),
        ({"error_rate": "15"}, "An error rate of 15.0 a bit is no chance; write 1e-15"),
        ({"error_rate": "nan"}, "An error rate of nan a bit"),
        ({"afr_percent": "-1"}, "--afr-percent -1.0 is no rate"),
        ({"afr_percent": "inf"}, "--afr-percent inf is no rate"),
        ({"afr_percent": "1e9"}, "--afr-percent 1e+09 is more than a failure an hour"),
        ({"afr_percent": None}, "--afr-percent or that of --model, and neither was given; give one"),
        ({"model": "Marl M6"}, "--afr-percent or that of --model, and both were given; give one"),
        ({"years": "0"}, "--years 0.0 is no time to look ahead"),
        ({"capacity_tb": None}, "--capacity-tb is missing, or has no value"),
        ({"afr_percent": None, "model": "Marl M6", "store": "nowhere"}, "There is no store in nowhere"),
        (
            {"afr_percent": None, "model": "Marl M7"},
            "There is no model 'Marl M7' in the store, did you mean 'Marl M6'? Its models are",
        ),
    ],
)
def test_what_is_wrong_is_told_in_one_sentence(
    others: dict[str, str | None], says: str, small_store: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    capsys.readouterr()
    assert main(command(**{"store": str(small_store), **others})) == 2
    told = capsys.readouterr()
    assert told.out == ""
    assert told.err.startswith("driveyears: ")
    assert says in told.err
    assert told.err.count("\n") == 1
