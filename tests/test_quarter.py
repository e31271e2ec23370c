from __future__ import annotations

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from reliability.errors import QuestionError
from reliability.quarter import Quarter


@given(st.dates(date(2, 1, 1), date(9998, 12, 31)))
def test_a_day_lies_in_its_quarter_and_in_no_other(day: date) -> None:
    quarter = Quarter.of(day)
    assert quarter.first_day <= day <= quarter.last_day
    assert quarter.next().first_day == quarter.last_day + timedelta(days=1)
    assert quarter.previous().last_day == quarter.first_day - timedelta(days=1)
    assert quarter.next().previous() == quarter
    assert quarter.previous() < quarter < quarter.next()
    assert Quarter.parse(str(quarter)) == quarter


def test_lower_case_and_spaces_around_it_are_read() -> None:
    assert Quarter.parse(" 2026q3 ") == Quarter(2026, 3)


def test_the_ends_of_the_calendar() -> None:
    assert Quarter(1, 1).first_day == date.min
    assert Quarter(9999, 4).last_day == date.max
    with pytest.raises(QuestionError, match="Quarter 1 of the year 10000 is not in the calendar"):
        Quarter(9999, 4).next()


@pytest.mark.parametrize(
    "text", ["2026Q5", "2026Q0", "26Q3", "2026-Q3", "Q3 2026", "0000Q1", "\u0662\u0660\u0662\u0666Q3", ""]
)
def test_anything_else_is_refused_with_the_way_out(text: str) -> None:
    with pytest.raises(QuestionError) as refused:
        Quarter.parse(text)
    assert str(refused.value) == (
        f"{text!r} is not a quarter; write the year, Q and a number from 1 to 4, such as 2026Q3."
    )
