from __future__ import annotations

from dataclasses import FrozenInstanceError, replace
from datetime import date

import pytest

from reliability.comparer.running import Fixed, Mixture
from reliability.comparer.stated import Verdict
from reliability.datasheet import Datasheet
from reliability.errors import QuestionError
from reliability.loaders.accounts import Bridged, SourceAccount
from reliability.quarter import Quarter
from reliability.rate import Rate
from reliability.report.contents import Contents, gather
from reliability.report.grids import AgeBand
from reliability.report.reproduction import digest_of
from report.sheets import SHEETS
from report.stand_in import FIRST, StandIn, history, invented

QUARTER = Quarter(2026, 3)


def gathered(store: StandIn | None = None, quarter: Quarter = QUARTER, material: float = 2.0) -> Contents:
    return gather(store or invented(), SHEETS, quarter, command="driveyears report", material=material)


def solo(*failures: int, drives: int = 100, age: int | None = 0) -> StandIn:
    return StandIn(FIRST.first_day, QUARTER.last_day, history("Solo 1", failures, drives=drives, age=age))


def partly_ageless(unknown: int, known: int) -> StandIn:
    aged = solo(known)
    return replace(aged, pieces=(*aged.pieces, *history("Solo 2", (unknown,), drives=100, age=None)))


def test_it_is_frozen() -> None:
    with pytest.raises(FrozenInstanceError):
        gathered().headline = "another"  # type: ignore[misc]  # that it cannot be set is what is tested


def test_every_model_has_a_line_and_the_worse_come_first() -> None:
    lines = [(line.model, line.verdict) for line in gathered().lines]
    assert lines == [
        ("TARN T18", Verdict.WORSE),
        ("TARN T22", Verdict.BETTER),
        ("Korrin 12N", Verdict.CONSISTENT),
        ("Mauvel P8", Verdict.TOO_LITTLE),
        ("Pell R1", Verdict.TOO_LITTLE),
        ("Vashtel X20", Verdict.TOO_LITTLE),
        ("Osk 4", None),
    ]


def test_a_datasheet_belongs_to_its_model_in_any_spelling_that_folds() -> None:
    (line,) = [line for line in gathered().lines if line.model == "TARN T22"]
    assert line.datasheet is SHEETS[1]
    assert line.stated == 0.0088


def test_a_datasheet_without_drives_has_no_exposure_and_needs_all_of_it() -> None:
    (line,) = [line for line in gathered().lines if line.model == "Pell R1"]
    assert (line.seen.drives, line.seen.rate, line.pace) == (0, Rate(0, 0), None)
    assert line.comparison is not None
    assert line.comparison.more_drive_years is not None
    assert line.comparison.more_drive_years > 0


def test_the_headline_counts_the_verdicts() -> None:
    assert gathered().headline == (
        "Of 6 models with a datasheet, 1 is worse than stated, 1 is better than stated, "
        "1 is consistent with what is stated and for 3 there is too little exposure to say (single planned look)."
    )
    assert gather(invented(), [], QUARTER, command="").headline == (
        "No model has a datasheet, so no rate is held against a stated one."
    )


def test_verdicts_rest_on_all_days_up_to_the_quarters_last_and_on_none_after() -> None:
    store = solo(1, 2, 4, 8)
    contents = gathered(store, Quarter(2024, 3))
    (line,) = [line for line in contents.lines if line.model == "Solo 1"]
    assert line.seen.rate == Rate(3, 2 * 91 * 100)
    assert contents.rate == line.seen.rate
    assert (contents.first_day, contents.last_day) == (date(2024, 4, 1), date(2024, 9, 30))


def test_the_limits_are_garwoods() -> None:
    store = solo(10, drives=400)
    (line,) = [line for line in gathered(store, FIRST).lines if line.model == "Solo 1"]
    years = 91 * 400 / 365
    # limits for 10 failures: 4.79539 and 18.39036, Garwood's table
    assert line.interval.low == pytest.approx(4.79539 / years, rel=1e-5)
    assert line.interval.high == pytest.approx(18.39036 / years, rel=1e-5)


def test_quarters_add_up_to_the_total_where_all_of_them_are_shown() -> None:
    store = solo(1, 0, 2, 4)
    contents = gathered(store, Quarter(2025, 1))
    (row,) = contents.by_quarter.rows
    assert [str(quarter) for quarter in contents.by_quarter.columns] == [
        "2024Q2",
        "2024Q3",
        "2024Q4",
        "2025Q1",
    ]
    assert [each.rate.failures for each in row.estimates] == [1, 0, 2, 4]
    assert sum((each.rate for each in row.estimates), Rate(0, 0)) == contents.rate


def test_no_more_than_two_years_of_quarters_are_shown() -> None:
    columns = gathered().by_quarter.columns
    assert (len(columns), str(columns[0]), str(columns[-1])) == (8, "2024Q4", "2026Q3")


def test_ages_and_what_is_left_out_add_up_to_the_total() -> None:
    contents = gathered()
    known = [each.rate for row in contents.by_age.rows for each in row.estimates]
    assert sum(known, contents.unknown_age.rate) == contents.rate
    assert contents.by_age.columns[0] == AgeBand(0, 91)
    assert contents.unknown_age.drives == 240
    assert contents.unknown_age.rate.failures == 4


@pytest.mark.parametrize(("unknown", "known"), [(2, 9), (1, 0)])
def test_more_than_a_tenth_of_the_failures_without_an_age_are_a_warning(unknown: int, known: int) -> None:
    left_out = gathered(partly_ageless(unknown, known), FIRST).unknown_age
    assert left_out.warns
    share = f"{100 * unknown / (unknown + known):.0f} %"
    assert left_out.sentences[1].startswith(f"These are {share} of all failures, so what goes by age may ")


@pytest.mark.parametrize(("unknown", "known"), [(1, 9), (0, 0)])
def test_a_tenth_or_less_is_none(unknown: int, known: int) -> None:
    left_out = gathered(partly_ageless(unknown, known), FIRST).unknown_age
    assert not left_out.warns
    assert len(left_out.sentences) == 1


def test_where_every_age_is_known_nothing_is_left_out() -> None:
    assert gathered(solo(1)).unknown_age.sentences == (
        "The age of every drive is known: nothing is left out.",
    )


def test_the_bounds_of_vanished_drives_stand_where_there_are_any() -> None:
    lines = {line.model: line for line in gathered().lines}
    assert lines["TARN T18"].vanished is None
    osk = lines["Osk 4"].vanished
    assert osk is not None
    assert (osk.vanished, osk.best.verdict, osk.worst.failures) == (9, None, 67 + 9)
    korrin = lines["Korrin 12N"].vanished
    assert korrin is not None
    assert korrin.worst.verdict is Verdict.CONSISTENT


def test_retirements_for_warning_signs_are_counted_both_ways() -> None:
    lines = {line.model: line for line in gathered().lines}
    found = lines["Osk 4"].preemptive
    assert found.count == 17
    assert found.without.failures == lines["Osk 4"].seen.rate.failures
    assert found.counted.failures == found.without.failures + 17
    assert lines["TARN T18"].preemptive.unclear == ((None, 2), ("see note", 1))
    assert lines["Korrin 12N"].preemptive.count == 0


def test_a_running_comparison_counts_retirements_for_warning_signs_since_it_began() -> None:
    for since, pulled in ((FIRST.first_day, 6), (Quarter(2025, 1).first_day, 0)):
        fixed = Fixed(since, Mixture.centred_on(0.0035), 0.0035)
        contents = gather(
            invented(), SHEETS, QUARTER, command="driveyears report", running={"TARN T18": fixed}
        )
        (line,) = [line for line in contents.lines if line.model == "TARN T18"]
        assert line.preemptive.count == 6
        assert line.running is not None
        found = line.leading_preemptive
        assert found is line.running.preemptive
        assert (found.count, found.counted.failures) == (pulled, line.running.rate.failures + pulled)
        with_them = Rate(line.running.rate.failures + pulled, line.running.rate.drive_days)
        assert found.counted.interval == fixed.mixture.interval(with_them)


def test_the_material_ratio_reaches_verdict_bounds_and_notes() -> None:
    contents = gathered(material=1.2)
    (korrin,) = [line for line in contents.lines if line.model == "Korrin 12N"]
    assert korrin.verdict is Verdict.TOO_LITTLE
    assert korrin.vanished is not None
    assert korrin.vanished.best.verdict is Verdict.TOO_LITTLE
    assert any("1.2 times that rate" in note for note in contents.notes)


def test_the_pace_is_told_in_quarters_or_years() -> None:
    lines = {line.model: line for line in gathered().lines}
    # 1300 more drive-years at 3 a quarter are 440 quarters
    assert lines["Mauvel P8"].pace == "At this quarter's pace of 3 drive-years, that takes about 110 years."
    assert lines["Korrin 12N"].pace is None
    # 3,900 at 12.5 a quarter are 313 quarters: 78.2 years, rounded up once
    sheets = [Datasheet("Solo 1", afr_percent=0.35)]
    (line,) = gather(solo(0, drives=50), sheets, FIRST, command="").lines
    assert line.comparison is not None
    assert line.comparison.more_drive_years == 3_900
    assert str(line.pace).endswith(" that takes about 79 years.")
    sheets = [Datasheet("Solo 1", afr_percent=5.0)]
    (line,) = gather(solo(1, drives=200), sheets, FIRST, command="").lines
    assert line.comparison is not None
    assert line.comparison.more_drive_years is not None
    assert 6 < line.comparison.more_drive_years / (200 * 91 / 365) <= 7
    assert line.pace == "At this quarter's pace of 50 drive-years, that takes about 7 quarters."


def test_a_model_whose_drives_all_failed_is_nothing_special() -> None:
    contents = gathered(solo(5, drives=5), FIRST)
    (line,) = [line for line in contents.lines if line.model == "Solo 1"]
    assert line.seen.rate.failures == line.seen.drives == 5
    assert contents.in_service == 0


def test_one_drive_without_a_failure_has_an_upper_limit() -> None:
    contents = gathered(solo(0, drives=1), FIRST)
    (line,) = [line for line in contents.lines if line.model == "Solo 1"]
    assert line.interval.low == 0
    assert line.interval.high == pytest.approx(3.68888 / (91 / 365), rel=1e-5)  # Garwood's table, no failure


@pytest.mark.parametrize("quarter", [Quarter(2024, 1), Quarter(2026, 4)])
def test_a_quarter_without_data_is_refused_with_the_way_out(quarter: Quarter) -> None:
    with pytest.raises(QuestionError) as caught:
        gathered(quarter=quarter)
    assert str(caught.value) == (
        f"The store has no day of {quarter}: its data go from 2024-04-01 to 2026-09-30. "
        f"Ask for a quarter from 2024Q2 to 2026Q3, or load the files of {quarter} first."
    )


def test_a_quarter_that_the_data_do_not_fill_is_called_incomplete() -> None:
    store = replace(invented(), first_day=date(2024, 4, 3), last_day=date(2026, 9, 12))
    late = gathered(store)
    assert "The data end on 12 September 2026, before 2026Q3 does: the quarter is not complete." in late.notes
    assert late.last_day == date(2026, 9, 12)
    early = gathered(store, FIRST)
    assert "The data begin on 3 April 2024, after 2024Q2 does: the quarter is not complete." in early.notes
    assert not any("not complete" in note for note in gathered().notes)


def test_rows_add_up_or_the_report_says_that_they_do_not() -> None:
    assert gathered().accounts.unaccounted_rows == 0
    assert gathered().accounts.sentences[0].startswith("The rows add up: 2,528,550 read = ")
    broken = replace(invented(), files=(SourceAccount("a.csv", "0", 10, 7, 1, 1),))
    assert gathered(broken).accounts.unaccounted_rows == 1
    assert gathered(broken).accounts.sentences[0] == (
        "The rows do not add up: 10 read against 7 kept + 1 rejected + 1 duplicates. "
        "This is a fault of the store; do not rely on its results."
    )


def test_bridged_absences_are_told_with_their_drive_days() -> None:
    assert "38 absences bridged, 211 drive-days credited" in gathered().accounts.sentences[1]
    none = gathered(replace(invented(), absences=Bridged(0, 0)))
    assert none.accounts.sentences[1].startswith("No drive was absent and came back")


def test_the_digest_of_all_sources_is_that_of_their_sorted_lines() -> None:
    sources = (SourceAccount("b.csv", "22", 1, 1, 0, 0), SourceAccount("a.csv", "11", 1, 1, 0, 0))
    # printf '11  a.csv\n22  b.csv\n' | sha256sum
    assert (
        digest_of(sources)
        == digest_of(sources[::-1])
        == ("c2bbc516efdbe4bb06ec57582232787bd5630754706c9de1db26cfd7d2fcac9a")
    )
    assert digest_of(sources[:1]) != digest_of(sources)


def test_the_command_and_the_cautions_are_in_it() -> None:
    contents = gathered()
    assert contents.reproduction.command == "driveyears report"
    assert any("the column failed is true on the day of the failure" in each for each in contents.cautions)
    assert any("redundancy is not a backup" in each for each in contents.cautions)
