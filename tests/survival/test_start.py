from __future__ import annotations

import pytest
import slow_survival as slow
from hypothesis import example, given, settings

from reliability.errors import QuestionError
from reliability.risk_table import risk_table
from reliability.survival.start import Start, start_of
from survival.fleets import many_lives, some_lives, table_of


@given(some_lives | many_lives)
@example([(0, 9, "retired"), (9, 12, "failed")])
@example([(0, 9, "failed"), (20, 29, "failed")])
@settings(deadline=None)
def test_it_is_where_a_walk_through_the_days_finds_it(lives: list[slow.Life]) -> None:
    found = start_of(table_of(lives))
    assert (found.age, found.until, found.least) == slow.start(lives)


def test_a_lone_early_failure_cannot_ruin_the_curve() -> None:
    young, old = (3, 5, "failed"), [(100, 400, "failed")] * 12
    assert start_of(table_of([young, *old])) == Start(100, 400, 10)


def test_ages_at_which_many_are_at_risk_may_fall_apart_and_the_fullest_counts() -> None:
    first = [(0, 50, "in service")] * 20
    second = [(70, 100, "in service")] * 15
    assert start_of(table_of([*first, *second])).age == 0  # no failure: the most drive-days
    assert start_of(table_of([*first, *second, (70, 90, "failed")])).age == 70
    assert start_of(table_of([*first, *second, (70, 90, "failed"), (0, 20, "failed")])).age == 0


def test_late_thinning_does_not_move_the_start() -> None:
    """Of 40 that fail one after the other, the last ten do so among fewer than 10."""
    lives = [(0, 10 * number, "failed") for number in range(1, 41)]
    assert start_of(table_of(lives)) == Start(0, 310, 10)


def test_two_have_to_do_and_in_the_end_one() -> None:
    assert start_of(table_of([(0, 9, "failed")] * 5)) == Start(0, 9, 2)
    assert start_of(table_of([(4, 9, "failed")])) == Start(4, 9, 1)
    assert start_of(table_of([(0, 30, "in service")] * 12 + [(40, 50, "failed")] * 3)) == Start(40, 50, 2)


def test_without_lives_there_is_no_age() -> None:
    assert start_of(risk_table([], [], [])) == Start(None, None, 10)


def test_an_age_can_be_asked_for() -> None:
    table = table_of([(3, 5, "failed"), *[(100, 400, "failed")] * 12])
    assert start_of(table, 0) == Start(0, 400, 10)
    assert start_of(table, 250) == Start(250, 400, 10)
    assert start_of(table, 50) == Start(50, 400, 10)


@pytest.mark.parametrize("age", [-1, 400, 4000, float("nan"), float("inf")])
def test_an_age_beyond_all_lives_is_refused(age: float) -> None:
    table = table_of([(100, 400, "failed")] * 12)
    with pytest.raises(
        QuestionError, match=r"No drive was at risk after age .*give an age from 0 to below 400 days"
    ):
        start_of(table, age)
