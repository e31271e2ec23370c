"""The slow reader against cases worked by hand: from rows to lives. The rules are the project's own."""

from __future__ import annotations

from datetime import date

import pytest
from slow.nouns import FailureRule, RawFile, Rejected
from slow.reader import read
from slow.spelling import are_near, fold
from small_histories import Rows, day, findings, lives, rows, spans, told, witnesses

# reading


def test_every_row_is_kept_rejected_or_a_duplicate() -> None:
    header = ("date", "serial", "model", "failed", "power_on_hours", "temperature_c")
    good = ("2026-03-01", "D", "M", "no", "5", "30")
    file = RawFile(
        "f.csv",
        header,
        (
            good,  # line 2
            ("2026-03-01", " D ", "M", "", "7", "30"),  # the same once trimmed
            ("", "", "M", "no", "5", "30"),  # two faults: the date comes first
            ("2026-02-30", "D", "M", "no", "5", "30"),
            ("2026-03-04", "D", "M", "no", "5", "30"),  # today is the 2nd: tomorrow is good, the 4th is ahead
            ("2026-03-03", "D", "M", "no", "5", "30"),
            ("2026-03-01", " ", "M", "no", "5", "30"),
            ("2026-03-01", "D", "M\x07M", "no", "5", "30"),
            ("2026-03-01", "D", "M", "dead", "5", "x"),
            ("2026-03-01", "D", "M", "no", "x", "x"),
            (
                "2026-03-02",
                "D",
                "M",
                "no",
                "1e400",
                "30",
            ),  # infinite hours are invalid hours, the row is kept
            ("2026-03-02", "D", "M", "no", "5", "nan"),
            good[:5],
            (*good, "0"),
        ),
    )
    (account,) = read([file], today=date(2026, 3, 2)).files
    assert account.rejected == (
        Rejected(4, "date", "missing"),
        Rejected(5, "date", "invalid"),
        Rejected(6, "date", "ahead"),
        Rejected(8, "serial", "missing"),
        Rejected(9, "model", "control"),
        Rejected(10, "failed", "unknown word"),
        Rejected(11, "power_on_hours", "not a number"),
        Rejected(13, "temperature_c", "not finite"),
        Rejected(14, None, "cells"),
        Rejected(15, None, "cells"),
    )
    assert (account.rows_read, account.kept, account.duplicates) == (14, 3, 1)


@pytest.mark.parametrize("word", ["true", "YES", "1", "t", "Y"])
def test_flag_words(word: str) -> None:
    assert spans(told(rows("D", [0], failed=word))) == [(0, 0, "failed")]


def test_a_failure_rule_takes_its_values_only() -> None:
    written = rows("D", [0], state="ok", failed="true") + rows("E", [0], state="pulled", failed="false")
    rule = FailureRule("state", frozenset({"pulled"}))
    found = read([RawFile.of("a.csv", written)], today=day(9), failure=rule)
    assert (spans(found, "D"), spans(found, "E")) == ([(0, 0, "in service")], [(0, 0, "failed")])


def test_a_file_without_a_required_column_or_of_a_removal_log_is_set_aside() -> None:
    files = [
        RawFile.of("no-model.csv", [{"date": "2026-03-01", "serial": "D"}]),
        RawFile.of("log.csv", rows("D", [0], outcome="failed")),
    ]
    assert read(files, today=day(9)).set_aside == ("no-model.csv", "log.csv")


# rule 1: spellings


@pytest.mark.parametrize(
    "spelling", ["tarn t18", " TARN_T18 ", "TARN -_ t18", "\uff34ARN T18", "TARN\u00a0T18"]
)
def test_spellings_that_fold_to_the_same(spelling: str) -> None:
    assert fold(spelling) == fold("TARN T18")


def test_shown_is_the_alias_key_or_the_first_spelling() -> None:
    written = rows("D", [0], "trn-T18") + rows("E", [0], "b  x") + rows("F", [0], "B x")
    found = read([RawFile.of("a.csv", written)], today=day(9), aliases={"TARN T18": ["TRN T18"]})
    assert [(life.serial, life.model) for life in found.lives] == [
        ("D", "TARN T18"),
        ("E", "B x"),
        ("F", "B x"),
    ]


@pytest.mark.parametrize(
    ("one", "other", "near"),
    [
        ("tarn t18", "tarnt18", True),  # letters and digits agree
        ("tarn t18", "fjord tarn t18", True),  # lacks the first word
        ("tarn t18", "tarn t18 plus", False),  # lacks the last
        ("tarn t18", "tarn t19", False),
    ],
)
def test_near_spellings(one: str, other: str, near: bool) -> None:  # noqa: FBT001  (a table's column)
    assert are_near(one, other) is are_near(other, one) is near


def test_one_serial_under_two_models_is_two_drives() -> None:
    found = told(rows("D", [0, 1], "A1"), rows("D", [1, 2, 3], "B2"))
    assert [(life.model, life.drive_days) for life in lives(found)] == [("A1", 2), ("B2", 3)]
    assert [f for f in findings(found) if f[0] == "model_changed"] == [
        ("model_changed", 0, 2),
        ("model_changed", 1, 3),
    ]


# rule 2 and 12: duplicates


def test_duplicates_are_one_day_with_the_flag_and_the_highest_hours() -> None:
    again = rows("D", [1, 1], site="b", power_on_hours="30") + rows(
        "D", [1], site="a", failed="1", power_on_hours="48.5"
    )
    found = told(rows("D", [0], site="b"), again)
    (life,) = lives(found)
    assert (life.drive_days, life.outcome, life.site) == (2, "failed", "a")
    assert life.entry_age_days == 1  # 48.5 h on day 1: 3 - 1 - 1
    assert findings(found) == [("duplicate", 1, 2), ("hours_invalid", 0, 1), ("two_sites", 1, 1)]
    assert life.checks == "duplicate hours_invalid two_sites"


def test_the_same_row_in_two_files_is_kept_in_both_and_counted_once() -> None:
    files = [RawFile.of(name, rows("D", [0, 1])) for name in ("a.csv", "b.csv")]
    found = read([*files, RawFile.of("c.csv", rows("D", [1]))], today=day(9))
    assert [account.kept for account in found.files] == [2, 2, 1]
    assert lives(found)[0].days_seen == 2
    across = [f for f in findings(found) if f[0] == "duplicate_across_files"]
    assert across == [
        ("duplicate_across_files", 0, 1),
        ("duplicate_across_files", 1, 2),
    ]  # 2 - 1 and 3 - 1 rows


def test_two_spellings_on_a_day_are_one_duplicate_of_one_row_both_kept() -> None:
    found = told(rows("D", [0], "tarn t18"), rows("D", [0], "TARN T18"))
    assert found.files[0].kept == 2
    assert ("duplicate", 0, 1) in findings(found)


def test_three_spellings_on_a_day_are_one_finding_of_one_row_too() -> None:
    found = told(*(rows("D", [0], model) for model in ("tarn t18", "TARN T18", "tarn_t18")))
    assert [f for f in findings(found) if f[0] == "duplicate"] == [("duplicate", 0, 1)]


# rule 4: age at entry = ceil(hours / 24 - 0.02) - 1 - days from the first row to that of the hours


@pytest.mark.parametrize(
    ("hours", "age"),
    [
        ("0", 0),  # ceil(-0.02) - 1 = -1, raised to 0
        ("24", 0),  # ceil(0.98) - 1
        ("24.4", 0),  # ceil(0.99667) - 1
        ("24.5", 1),  # ceil(1.00083) - 1
        ("48", 1),  # ceil(1.98) - 1
        ("48.5", 2),  # ceil(2.00083) - 1
        ("8760", 364),  # ceil(364.98) - 1
        ("131400", 5474),  # ceil(5474.98) - 1
        ("131400.5", None),  # no valid hours: over fifteen years
        ("-0.5", None),
        ("nan", None),
        ("", None),
    ],
)
def test_age_at_entry(hours: str, age: int | None) -> None:
    (life,) = lives(told(rows("D", [0], power_on_hours=hours)))
    assert (life.entry_age_days, life.exit_age_days) == (age, None if age is None else age + 1)
    assert life.age_source == ("unknown" if age is None else "power_on_hours")


@pytest.mark.parametrize(
    ("first_valid", "age"),
    [
        ("240", 7),  # ceil(9.98) - 1 - 2
        ("0", 0),  # ceil(-0.02) - 1 - 2 = -3: raised to 0, but not below -3
    ],
)
def test_age_from_hours_that_come_two_days_late(first_valid: str, age: int) -> None:
    found = told(rows("D", range(4), power_on_hours={1: "-5", 2: first_valid, 3: first_valid}))
    assert lives(found)[0].entry_age_days == age
    assert findings(found) == [("hours_invalid", 0, 2)]  # days 0 and 1


def test_hours_too_few_by_more_than_three_days_are_short() -> None:
    found = told(rows("D", range(4), power_on_hours={3: "0"}))  # 0 - 1 - 3 = -4
    assert lives(found)[0].entry_age_days == 0
    assert findings(found) == [("hours_invalid", 0, 3), ("hours_short", 3, 1)]


def test_no_valid_hours_is_one_finding_over_the_days_that_count() -> None:
    found = told(rows("D", range(5), power_on_hours="-5", failed={2: "1"}))
    assert findings(found) == [("age_unknown", 0, 3), ("seen_after_failure", 3, 2)]


# rule 5: power-on hours


@pytest.mark.parametrize(
    ("earlier", "later", "fault"),
    [
        ("500", "452", None),  # 48 h down
        ("500", "451.5", "hours_backwards"),
        ("500", "596", None),  # one day and 72 h up
        ("500", "596.5", "hours_jump"),
        ("65530", "10", "hours_wrapped"),
        ("65536", "3276.8", "hours_wrapped"),  # at most 5 % of 65536
        ("65536", "3277", "hours_backwards"),
        ("62260", "10", "hours_wrapped"),  # 62259.2 is 5 % below
        ("62259", "10", "hours_backwards"),
        ("20", "10000", "hours_jump"),
    ],
)
def test_steps_of_the_hours(earlier: str, later: str, fault: str | None) -> None:
    found = told(rows("D", [0, 1], power_on_hours={0: earlier, 1: later}))
    assert findings(found) == ([(fault, 1, 1)] if fault else [])


def test_a_reset_overtaken_within_the_month_goes_unseen_the_next_month_is_judged() -> None:
    # March has 31 days: first 100 (day 0), highest 340 (day 10) = last; the fall to 40 on day 5 is no point
    hours = {0: "100", 5: "40", 10: "340", 31: "100", 33: "400"}
    found = told(rows("D", hours, power_on_hours=hours))
    # 340 -> 100: back; 100 -> 400 in two days: more than 48 + 72; nobody else reports, so there is no gap
    assert findings(found) == [("hours_backwards", 31, 1), ("hours_jump", 33, 1)]


# rule 3 and 8: failures


def test_a_failure_on_the_first_day_has_one_drive_day() -> None:
    (life,) = lives(told(rows("D", [0], failed="1", power_on_hours="48")))
    assert (life.drive_days, life.entry_age_days, life.exit_age_days, life.outcome) == (1, 1, 2, "failed")


@pytest.mark.parametrize(
    ("after", "check"), [([3], "seen_after_failure"), ([3, 15], "seen_after_failure"), ([16], "reappeared")]
)
def test_rows_after_the_failure_add_nothing(after: list[int], check: str) -> None:
    # the flag is up on day 2 and 3; day 15 is 13 days later, day 16 is 14
    written: Rows = rows(
        "D", [0, 1, 2, *after], failed={2: "1", 3: "1"}, power_on_hours={0: "24", after[-1]: "1"}
    )
    found = told(written, witnesses(60))
    assert spans(found) == [(0, 2, "failed")]
    assert findings(found) == [(check, after[0], len(after))]
