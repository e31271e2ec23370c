"""The slow reader against cases worked by hand: absences, outages, the end of the data, places, exposure."""

from __future__ import annotations

import pytest
from slow.exposure import age_band, exposure
from small_histories import day, findings, lives, logged, rows, spans, told, witnesses

# rule 7: gaps; the witnesses make each day a collected one


@pytest.mark.parametrize(
    ("absent", "expected", "gaps"),
    [
        (7, [(0, 49, "in service")], []),
        (8, [(0, 49, "in service")], [("gap", 1, 1)]),
        (30, [(0, 49, "in service")], [("gap", 1, 1)]),
        (31, [(0, 0, "interrupted"), (32, 49, "in service")], [("gap", 1, 1)]),
    ],
)
def test_gaps(absent: int, expected: list[tuple[int, int, str]], gaps: list[tuple[str, int, int]]) -> None:
    found = told(rows("D", [0, *range(absent + 1, 50)], power_on_hours="24"), witnesses(49))
    assert spans(found) == expected
    # the hours stand still, which is no fault: only steps down and jumps are
    assert findings(found) == gaps
    first, *others = lives(found)
    assert first.longest_gap_days == (absent if absent <= 30 else 0)
    assert first.checks == ("gap" if gaps else "")  # the gap is on the life before
    assert [(life.entry_age_days, life.checks) for life in others] == [(32, "")] * len(others)  # 0 + 32 days


def test_days_on_which_no_drive_reports_are_no_gap() -> None:
    # days 11 to 50 are dark for all: D misses 30 collected days (1 to 10 and 51 to 70) of 70
    dark = set(range(11, 51))
    others = [row for row in witnesses(90) if row["date"] not in {day(n).isoformat() for n in dark}]
    found = told(rows("D", [0, *range(71, 91)]), others)
    assert spans(found) == [(0, 90, "in service")]
    assert lives(found)[0].longest_gap_days == 30
    assert (found.outages[None], lives(found)[0].days_seen) == (frozenset(map(day, dark)), 21)
    assert [(f.check, f.first_day) for f in found.findings if f.serial is None] == [("outage", day(11))]


def test_an_outage_of_a_site_needs_two_drives_on_both_sides() -> None:
    # at "a" nobody reports from day 5 to 44; D and E stood there before and after: an outage
    # at "b" the same days are missing, but G left before and H came after: only F saw both sides
    two = [rows(s, [*range(5), *range(45, 50)], site="a") for s in ("D", "E")]
    one = rows("F", [*range(5), *range(45, 50)], site="b") + rows("G", range(5), site="b")
    found = told(*two, one, rows("H", range(45, 50), site="b"), witnesses(49, site="c"))
    assert found.outages["a"] == frozenset(map(day, range(5, 45)))
    assert found.outages["b"] == frozenset()
    assert spans(found, "D") == [(0, 49, "in service")]
    assert spans(found, "F") == [(0, 4, "interrupted"), (45, 49, "in service")]  # 40 collected days
    assert [(f.check, f.first_day, f.names) for f in found.findings if f.serial is None] == [
        ("outage", day(5), ("a",))
    ]


def test_a_site_of_one_drive_keeps_the_calendar_of_the_fleet() -> None:
    found = told(rows("D", [0, 40], site="shed"), witnesses(60, site="c"))
    assert spans(found) == [(0, 0, "interrupted"), (40, 40, "in service")]
    assert set(found.outages) == {None, "c"}


def test_a_gap_follows_the_calendar_of_the_site_last_seen() -> None:
    # D leaves "a", which is dark on days 5 to 44, for "c", which never is; and the other way round for E
    dark = [rows(s, [*range(5), *range(45, 50)], site="a") for s in ("V1", "V2")]
    to_c = rows("D", range(5), site="a") + rows("D", [45, 46, 47, 48, 49], site="c")
    to_a = rows("E", range(5), site="c") + rows("E", [45, 46, 47, 48, 49], site="a")
    found = told(*dark, to_c, to_a, witnesses(49, site="c"))
    assert spans(found, "D") == [(0, 49, "in service")]
    assert [span[2] for span in spans(found, "E")] == ["interrupted", "in service"]


# rule 9: the end of the data


@pytest.mark.parametrize(("later", "outcome"), [(30, "in service"), (31, "vanished")])
def test_vanished(later: int, outcome: str) -> None:
    found = told(rows("D", range(5), power_on_hours="0"), witnesses(4 + later))
    assert spans(found) == [(0, 4, outcome)]
    assert findings(found) == ([("vanished", 4, 1)] if outcome == "vanished" else [])


@pytest.mark.parametrize(("later", "named"), [(30, []), (31, [("outage", day(5), ("a",))])])
def test_a_silent_site_leaves_its_drives_in_service(later: int, named: list[tuple[object, ...]]) -> None:
    silent = [rows(s, range(5), site="a") for s in ("D", "E")]
    found = told(*silent, witnesses(4 + later, site="c"))
    assert (spans(found, "D"), spans(found, "E")) == ([(0, 4, "in service")], [(0, 4, "in service")])
    assert [(f.check, f.first_day, f.names) for f in found.findings if f.serial is None] == named


@pytest.mark.parametrize(("later", "outcome"), [(30, "in service"), (31, "vanished")])
def test_a_row_after_a_failure_keeps_a_site_awake(later: int, outcome: str) -> None:
    # E fails on day 4 and reports on: days on which only E reports count for D's tail
    failed = rows("E", range(5 + later), site="a", failed={4: "1"})
    found = told(rows("D", range(5), site="a"), failed)
    assert spans(found) == [(0, 4, outcome)]


# rule 12: flags after a gap


@pytest.mark.parametrize(
    ("flag_day", "expected", "listed"),
    [
        (8, [(0, 8, "failed")], []),  # days 1 to 7 are missing
        (9, [(0, 9, "failed")], [("gap", 1, 1), ("late_flag", 9, 1)]),  # 1 to 8
        (32, [(0, 0, "interrupted"), (32, 32, "failed")], [("gap", 1, 1), ("late_flag", 32, 1)]),  # 1 to 31
    ],
)
def test_late_flags(
    flag_day: int, expected: list[tuple[int, int, str]], listed: list[tuple[str, int, int]]
) -> None:
    hours = {0: "24", flag_day: "24"}
    found = told(rows("D", [0, flag_day], failed={flag_day: "1"}, power_on_hours=hours), witnesses(40))
    assert spans(found) == expected
    assert findings(found) == listed


# where a drive is


def test_bridged_days_are_at_the_site_last_seen_or_from_a_logged_move_on_at_the_next() -> None:
    history = rows("D", [0, 1], site="a") + rows("D", [6], site="b")
    for log, expected in (
        ([], "aaaaaab"),  # days 2 to 5: last seen at a
        ([logged("D", 4, "moved")], "aaaabbb"),  # from day 4 on at b
        ([logged("D", 1, "moved")], "aabbbbb"),  # on the day last seen: from day 2 on
        ([logged("D", 0, "moved")], "aaaaaab"),  # seen at a since: nothing to say
    ):
        found = told(history, witnesses(6, site="a"), log=log)
        at = [d.site for d in found.days_at_risk if d.serial == "D"]
        assert "".join(map(str, at)) == expected
        assert [span[2] for span in spans(found)] == ["in service"]


def test_a_day_from_two_sites_counts_for_the_first_and_null_never_competes() -> None:
    found = told(rows("D", [0, 1], site="b"), rows("D", [0], site="a"), rows("D", [1], site=" "))
    assert [d.site for d in found.days_at_risk] == ["a", "b"]
    assert [f for f in findings(found) if f[0] == "two_sites"] == [("two_sites", 0, 1)]


def test_rack_and_batch_are_the_last_seen() -> None:
    found = told(rows("D", range(3), rack={0: "r1", 1: "r2"}, batch=" "), rows("D", [1], rack="r1", site="x"))
    assert (lives(found)[0].rack, lives(found)[0].batch, lives(found)[0].site) == ("r1", None, None)


# rule 13: exposure, day by day


def test_age_bands_end_at_whole_days() -> None:
    ends = [age_band(age) for age in (1, 91, 92, 365, 366, 2555, 2556)]
    assert ends == [(0, 91), (0, 91), (91, 365), (91, 365), (365, 730), (1825, 2555), (2555, None)]


def test_exposure_by_age_quarter_and_window() -> None:
    # D enters at 90 days (ceil(90.98) - 1) on 1 March and fails on 1 April, day 31; E's age is unknown
    found = told(rows("D", range(32), power_on_hours="2184", failed={31: "1"}), rows("E", range(10)))
    by_age = exposure(found.days_at_risk, ["age"])
    assert [
        (dict(cell.labels)["age_from_days"], cell.drive_days, cell.failures) for cell in by_age.cells
    ] == [
        (0, 1, 0),  # the day that ends at age 91
        (91, 31, 1),
    ]
    assert (by_age.left_out.drive_days, by_age.total.drive_days, by_age.total.drives) == (10, 42, 2)
    by_quarter = exposure(found.days_at_risk, ["quarter"]).cells
    assert [(c.labels, c.drive_days, c.failures) for c in by_quarter] == [
        ((("quarter", "2026Q1"),), 41, 0),
        ((("quarter", "2026Q2"),), 1, 1),
    ]
    early = exposure(found.days_at_risk, ["model"], day(5), day(30)).total
    assert (early.drives, early.drive_days, early.failures) == (2, 26 + 5, 0)
