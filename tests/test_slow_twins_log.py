"""The slow reader against cases worked by hand: the removal log (rule 11)."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from small_histories import day, findings, lives, logged, rows, spans, told, witnesses

if TYPE_CHECKING:
    from slow.nouns import LogEntry, Truth


def gone_on_day_50(*log: LogEntry) -> Truth:
    """Let a drive report on days 20 to 50; the fleet goes on to day 100, so that it has vanished."""
    return told(rows("D", range(20, 51), power_on_hours="0"), witnesses(100), log=log)


@pytest.mark.parametrize(
    ("number", "outcome", "listed"),
    [
        (19, "vanished", [("seen_after_removal", 19, 1), ("vanished", 50, 1)]),  # before the first day
        (20, "retired", []),  # 30 days before the last, and the drive does not report at the end
        (50, "retired", []),
        (80, "retired", []),  # 30 days after
        (81, "retired", [("late_log", 81, 1)]),
        (100, "retired", [("late_log", 100, 1)]),  # the fleet's last collected day
        (101, "vanished", [("vanished", 50, 1)]),  # not used until data reach it
    ],
)
def test_retired(number: int, outcome: str, listed: list[tuple[str, int, int]]) -> None:
    found = gone_on_day_50(logged("D", number, "retired"))
    assert spans(found) == [(20, 50, outcome)]
    assert findings(found) == listed


def test_more_than_thirty_days_before_the_last_day_is_not_used() -> None:
    found = told(rows("D", range(40), power_on_hours="0"), witnesses(100), log=[logged("D", 8, "failed")])
    assert spans(found) == [(0, 39, "vanished")]  # 8 is 31 days before 39
    assert findings(found) == [("seen_after_removal", 8, 1), ("vanished", 39, 1)]


@pytest.mark.parametrize(
    ("last", "number", "outcome"),
    [
        (60, 59, "retired"),  # one collected day after the entry: day 60
        (60, 58, "in service"),  # two
        (59, 57, "in service"),  # the last but one collected day is enough to report still
        (58, 56, "retired"),  # but not the last but two
    ],
)
def test_a_drive_that_still_reports_was_not_removed_before(last: int, number: int, outcome: str) -> None:
    found = told(rows("D", range(last + 1)), witnesses(60), log=[logged("D", number, "retired")])
    assert spans(found) == [(0, last, outcome)]


def test_an_outage_between_entry_and_last_day_does_not_count() -> None:
    # the site is dark on days 51 to 59: after the entry of day 50 only day 60 is collected
    days = [*range(51), 60]
    found = told(*(rows(s, days, site="a") for s in "DEF"), witnesses(60), log=[logged("D", 50, "failed")])
    assert spans(found) == [(0, 60, "failed")]


def test_failed_beats_retired_and_identical_entries_are_one() -> None:
    late = [logged("D", 90, "retired", model) for model in ("TARN T18", "TARN T18", "tarn_t18")]
    found = gone_on_day_50(logged("D", 50, "retired"), logged("D", 60, "failed"), *late)
    assert spans(found) == [(20, 50, "failed")]
    assert findings(found) == [("late_log", 90, 1)]


def test_a_flag_beats_the_log() -> None:
    flagged = rows("D", range(10), failed={9: "1"}, power_on_hours="0")
    found = told(flagged, witnesses(60), log=[logged("D", 9, "retired"), logged("D", 45, "retired")])
    assert spans(found) == [(0, 9, "failed")]
    assert findings(found) == [("late_log", 45, 1)]  # it stands 36 days after, though it changes nothing


def test_retired_then_back_is_the_next_life() -> None:
    history = rows("D", [*range(10), *range(50, 60)], power_on_hours="0")
    found = told(history, witnesses(59), log=[logged("D", 12, "retired")])
    assert spans(found) == [(0, 9, "retired"), (50, 59, "in service")]
    assert [life.entry_age_days for life in lives(found)] == [0, 50]
    assert findings(found) == [("gap", 10, 1)]


def test_failed_then_back_is_no_new_life() -> None:
    history = rows("D", [*range(10), *range(50, 60)], power_on_hours=dict.fromkeys(range(50, 60), "900"))
    found = told(history, witnesses(59), log=[logged("D", 12, "failed")])
    assert spans(found) == [(0, 9, "failed")]
    # nothing after the failure enters: no gap, no hours; the last row is 50 days after the failure
    assert findings(found) == [("age_unknown", 0, 10), ("reappeared", 50, 10)]


def test_an_entry_belongs_to_the_nearest_life_the_earlier_on_a_tie() -> None:
    history = rows("D", [*range(10), *range(50, 60)]) + rows("D", [])
    tie = told(
        history, witnesses(110), log=[logged("D", 34, "retired")]
    )  # 25 days from day 9 and from day 59
    assert [span[2] for span in spans(tie)] == ["retired", "vanished"]
    later = told(
        history, witnesses(110), log=[logged("D", 35, "retired")]
    )  # nearer to day 59, but before day 50
    assert [span[2] for span in spans(later)] == ["interrupted", "vanished"]
    assert ("seen_after_removal", 35, 1) in findings(later)


def test_moved_ends_nothing_and_is_never_out_of_place() -> None:
    found = gone_on_day_50(*(logged("D", number, "moved") for number in (0, 30, 50, 90)))
    assert spans(found) == [(20, 50, "vanished")]
    assert findings(found) == [("vanished", 50, 1)]


def test_unknown_and_ambiguous_serials_are_listed() -> None:
    both = rows("D", range(5), "A1") + rows("D", range(5), "B2")
    log = [
        logged("X", 3, "retired"),  # nobody knows it
        logged("D", 4, "retired"),  # two models
        logged("D", 4, "failed", "b-2"),  # no such model
        logged("D", 4, "failed", "b2"),  # this one is found
    ]
    found = told(both, witnesses(60), log=log)
    assert spans(found) == [(0, 4, "vanished"), (0, 4, "failed")]
    unknown = [(f.serial, f.first_day) for f in found.findings if f.check == "log_unknown"]
    assert unknown == [("X", day(3)), ("D", day(4)), ("D", day(4))]
