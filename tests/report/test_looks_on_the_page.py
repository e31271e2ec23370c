"""Which look a verdict is meant for, what it allows for, and of whom it speaks: on the page and in its tables."""

from __future__ import annotations

import csv
import io
from dataclasses import replace

import pytest

from reliability.comparer.running import EVERY_LOOK, Fixed, Mixture
from reliability.comparer.stated import SINGLE_LOOK, Verdict
from reliability.quarter import Quarter
from reliability.rate import Rate
from reliability.report.contents import Contents, gather
from reliability.report.page import page
from reliability.report.tables import tables
from report.html_walk import walk
from report.sheets import SHEETS
from report.stand_in import FIRST, StandIn, history, invented

QUARTER = Quarter(2026, 3)
BEGAN = Fixed(FIRST.first_day, Mixture.centred_on(0.0035), 0.0035)


def fixed(store: StandIn) -> dict[str, Fixed]:
    return {str(cell.labels["model"]): BEGAN for cell in store.exposure().cells}


def running(store: StandIn) -> Contents:
    return gather(store, SHEETS, QUARTER, command="driveyears report", running=fixed(store))


def racked(*failures: int) -> StandIn:
    """One model with a datasheet, so many failures in each of its racks."""
    pieces = [
        replace(piece, rack=f"rack {place}")
        for place, number in enumerate(failures)
        for piece in history("TARN T18", (number,), drives=1_000, age=0)
    ]
    return StandIn(FIRST.first_day, QUARTER.last_day, tuple(pieces))


def test_the_page_goes_by_the_running_comparison_and_tells_the_single_look_below() -> None:
    contents = running(invented())
    text = walk(page(contents)).text
    for line in contents.lines:
        if line.running is not None and line.running.comparison is not None and line.comparison is not None:
            assert line.leading is line.running.comparison
            assert line.running.comparison.sentence.endswith(f"({EVERY_LOOK})")
            assert line.running.comparison.sentence in text
            assert f"Looked at once: {line.comparison.sentence}" in text
    assert contents.headline.endswith(f"({EVERY_LOOK}).")
    assert "The running comparison: each model since it began" in text


def test_without_a_running_comparison_it_is_a_single_look_and_says_so() -> None:
    contents = gather(invented(), SHEETS, QUARTER, command="driveyears report")
    text = walk(page(contents)).text
    assert contents.headline.endswith(f"({SINGLE_LOOK}).")
    assert EVERY_LOOK not in text


def test_every_sentence_with_a_verdict_names_its_look() -> None:
    text = walk(page(running(invented()))).text
    for words in (
        "Worse than the datasheet: ",
        "Better than the datasheet: ",
        "Too little exposure to say: ",
    ):
        for told in text.split(words)[1:]:
            assert f"({EVERY_LOOK})" in told[:400] or f"({SINGLE_LOOK})" in told[:400]


def test_the_exposure_of_a_running_comparison_begins_with_its_first_day() -> None:
    store = invented()
    later = replace(BEGAN, since=Quarter(2025, 3).first_day)
    contents = gather(store, SHEETS, QUARTER, command="", running={"TARN T18": later})
    (line,) = [line for line in contents.lines if line.model == "TARN T18"]
    assert line.running is not None
    assert line.running.rate == Rate(7 + 5 + 4 + 6 + 8, 5 * 91 * 1_200)
    assert line.seen.rate.failures == 52
    assert line.running.interval == BEGAN.mixture.interval(line.running.rate)


def test_a_report_on_a_quarter_before_the_beginning_has_seen_nothing_of_it() -> None:
    later = replace(BEGAN, since=Quarter(2026, 1).first_day)
    contents = gather(invented(), SHEETS, Quarter(2025, 2), command="", running={"TARN T18": later})
    (line,) = [line for line in contents.lines if line.model == "TARN T18"]
    assert line.running is not None
    assert line.running.rate == Rate(0, 0)
    assert line.verdict is Verdict.TOO_LITTLE


def test_a_model_without_a_datasheet_has_limits_and_no_verdict() -> None:
    (line,) = [line for line in running(invented()).lines if line.model == "Osk 4"]
    assert line.running is not None
    assert line.running.comparison is None
    assert line.running.sentence.startswith("67 failures in 773 drive-years: AFR 8.7 % (95 % ")
    assert line.running.sentence.endswith(f"({EVERY_LOOK})")
    assert line.verdict is None
    assert line.running.sentence in walk(page(running(invented()))).text
    once = walk(page(gather(invented(), SHEETS, QUARTER, command=""))).text
    assert f": {line.seen.rate}. ({SINGLE_LOOK})" in once


@pytest.mark.parametrize(
    ("failures", "about"),
    [
        ((4, 4, 4, 4, 4, 4, 4, 4), "The verdict is about the model: with the spread between 8 racks"),
        (
            (0, 0, 0, 0, 0, 0, 0, 32),
            "The verdict is about these drives only: with the spread between 8 racks",
        ),
    ],
)
def test_the_page_says_what_was_grouped_and_of_whom_the_verdict_speaks(
    failures: tuple[int, ...], about: str
) -> None:
    contents = running(racked(*failures))
    (line,) = [line for line in contents.lines if line.model == "TARN T18"]
    assert line.verdict is Verdict.WORSE
    text = walk(page(contents)).text
    assert about in text
    assert "8 racks" in text
    assert (line.verdict_on_the_model is Verdict.WORSE) == ("about the model" in about)
    (row,) = list(csv.DictReader(io.StringIO(tables(contents)["spread.csv"])))
    assert (row["label"], row["groups"]) == ("rack", "8")


def test_where_nothing_is_grouped_the_page_says_that_it_speaks_of_these_drives() -> None:
    text = walk(page(running(invented()))).text
    assert "About these drives only, since no batch, rack or site label has 5 groups with 5 failures:" in text


def test_a_verdict_that_does_not_hold_among_all_models_is_worded_so() -> None:
    contents = running(invented())
    found = [line.running_holm for line in contents.lines if line.running_holm is not None]
    told = [each.sentence for each in found if each.sentence is not None]
    text = walk(page(contents)).text
    assert told
    assert all(sentence in text for sentence in told)
    assert {each.models for each in found} == {5}, "those with a datasheet and exposure"


def test_the_table_of_the_running_comparison_has_what_was_fixed() -> None:
    contents = running(invented())
    rows = list(csv.DictReader(io.StringIO(tables(contents)["running.csv"])))
    assert [row["model"] for row in rows] == [line.model for line in contents.lines if line.running]
    for row in rows:
        assert (row["since"], float(row["prior_shape"])) == (str(FIRST.first_day), 1.0)
        assert float(row["prior_drive_years"]) == pytest.approx(1 / 0.0035)
        assert float(row["prior_stated_rate"]) == 0.0035
        assert float(row["afr_low"]) <= float(row["afr"]) <= float(row["afr_high"])
