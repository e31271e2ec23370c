"""What the tables of `signals` say when the two ways disagree, when one or both are refused, and of nothing."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from tiny_stores import GOOD, loaded, put, said

from reliability.cli.associations import Association
from reliability.cli.signals_table import write_signals
from reliability.comparer.ratios import exact_ratio
from reliability.interval import Interval
from reliability.loaders.signals import SignalHistory, StateCell
from reliability.rate import Rate
from reliability.signals.hazard_ratio import HazardRatio, Refused
from reliability.signals.warning import warnings

if TYPE_CHECKING:
    from pathlib import Path

WIDE = HazardRatio(2.0, Interval(0.9, 4.4))
NARROW = HazardRatio(2.1, Interval(1.2, 3.7))


def association(by_rates: HazardRatio | Refused, by_cox: HazardRatio | Refused) -> Association:
    history = SignalHistory(
        "pending_sectors",
        (
            StateCell("TARN T18", "unexposed", 0, 91, 36_500, 10),
            StateCell("TARN T18", "exposed", 0, 91, 3_650, 0),
        ),
        {},
        None,
    )
    crude = exact_ratio(Rate(0, 3_650), Rate(10, 36_500))
    return Association(history, crude, by_rates, by_cox, warnings([None] * 10, 0, 0))


def shown(capsys: pytest.CaptureFixture[str], found: Association) -> str:
    write_signals([found], (), 0.95)
    return capsys.readouterr().out


@pytest.mark.parametrize(("other", "word"), [(NARROW, "agree"), (WIDE, "disagree")])
def test_the_table_says_whether_the_two_ways_agree(
    capsys: pytest.CaptureFixture[str], other: HazardRatio, word: str
) -> None:
    text = shown(capsys, association(NARROW, other))
    [row] = [line for line in text.splitlines() if "above zero" in line]
    assert row.split()[-1] == word
    assert ("Pending sectors: the two ways disagree" in text) is (word == "disagree")


def test_one_way_refused_leaves_the_other_and_says_why(capsys: pytest.CaptureFixture[str]) -> None:
    text = shown(capsys, association(NARROW, Refused("No finite ratio is best.")))
    [row] = [line for line in text.splitlines() if "above zero" in line]
    assert "2.1 (1.20-3.70)" in row
    assert row.split()[-2:] == ["-", "-"]
    assert "Pending sectors: no ratio by Cox. No finite ratio is best." in text


def test_both_refused_leave_the_crude_ratio_marked(capsys: pytest.CaptureFixture[str]) -> None:
    why = Refused("0 failures exposed.")
    text = shown(capsys, association(why, why))
    assert "crude 0 (0-4.46)" in text
    assert text.count("Pending sectors: no ratio at like ages and models. 0 failures exposed.") == 1
    assert text.count("0 failures exposed.") == 1


def test_no_failure_with_a_warning_has_no_lead_time(capsys: pytest.CaptureFixture[str]) -> None:
    text = shown(capsys, association(NARROW, NARROW))
    [row] = [line for line in text.splitlines() if "0 of 10" in line]
    assert row.split() == [
        "Pending",
        "sectors",
        "0",
        "of",
        "10",
        "0",
        "%",
        "(0-30.8)",
        "-",
        "-",
        "-",
        "0",
        "of",
        "0",
    ]
    assert "predicts no single drive" in text
    assert "Redundancy is no backup" in text


def test_a_window_without_a_drive_blames_no_mapping(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    loaded(capsys, tmp_path / "fleet", put(tmp_path / "a.csv", GOOD))
    found = said(capsys, "signals", "--from", "2050-01-01", "--store", tmp_path / "fleet")
    assert found.code == 0
    assert (
        found.out
        == "No drive was seen in this window; `driveyears rates --by quarter` tells what the data hold.\n"
    )
