from __future__ import annotations

import csv
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from lifelines.utils import survival_table_from_events

from reliability.errors import InvalidLife
from reliability.risk_table import RiskTable, risk_table, risk_tables_by_day

if TYPE_CHECKING:
    from random import Random

DATA = Path(__file__).parent / "references" / "data"
Life = tuple[int, int, str]


def columns(lives: list[Life]) -> tuple[list[int], list[int], list[str]]:
    return [life[0] for life in lives], [life[1] for life in lives], [life[2] for life in lives]


a_life = st.tuples(
    st.integers(0, 50),
    st.integers(1, 60),
    st.sampled_from(["failed", "retired", "vanished", "interrupted", "in service"]),
).map(lambda life: (life[0], life[0] + life[1], life[2]))
some_lives = st.lists(a_life, min_size=1, max_size=40)


@given(some_lives)
def test_counts_are_the_rows(lives: list[Life]) -> None:
    table = risk_table(*columns(lives))
    for outcome, counted in (
        ("failed", table.failed),
        ("retired", table.retired),
        ("vanished", table.vanished),
    ):
        assert counted.sum() == sum(life[2] == outcome for life in lives)
    assert table.left.sum() == sum(life[2] in {"interrupted", "in service"} for life in lives)
    assert table.entered.sum() == table.exits.sum() == table.lives == len(lives)
    assert table.failures == sum(life[2] == "failed" for life in lives)
    assert table.drive_days == sum(life[1] - life[0] for life in lives)
    assert (np.diff(table.age) > 0).all()


@given(some_lives)
def test_at_risk_is_those_who_entered_before_and_have_not_left_before(lives: list[Life]) -> None:
    table = risk_table(*columns(lives))
    assert table.at_risk.tolist() == [sum(entry < t <= exit_ for entry, exit_, _ in lives) for t in table.age]


@given(some_lives, st.data())
def test_cutting_a_life_in_two_changes_no_risk(lives: list[Life], data: st.DataObject) -> None:
    entry, exit_, outcome = data.draw(
        st.sampled_from([life for life in lives if life[1] - life[0] > 1] or [(0, 9, "failed")])
    )
    whole = [*lives, (entry, exit_, outcome)]
    cut = data.draw(st.integers(entry + 1, exit_ - 1))
    halves = [*lives, (entry, cut, "interrupted"), (cut, exit_, outcome)]
    one, two = risk_table(*columns(whole)), risk_table(*columns(halves))
    at = np.isin(two.age, one.age)
    for name in ("at_risk", "failed", "retired", "vanished"):
        assert getattr(two, name)[at].tolist() == getattr(one, name).tolist()
    assert two.failures == one.failures
    assert two.drive_days == one.drive_days
    assert two.lives == one.lives + 1


@given(some_lives, st.randoms())
def test_the_order_of_rows_does_not_matter(lives: list[Life], random: Random) -> None:
    shuffled = list(lives)
    random.shuffle(shuffled)
    one, other = risk_table(*columns(lives)), risk_table(*columns(shuffled))
    assert one.age.tolist() == other.age.tolist()
    assert one.at_risk.tolist() == other.at_risk.tolist()
    assert one.failed.tolist() == other.failed.tolist()


def test_counts_agree_with_lifelines_on_published_late_entries() -> None:
    """Channing House residents (Hyde 1977), without the four whose exit is not after their entry."""
    with (DATA / "channing.csv").open() as file:
        rows = [row for row in csv.DictReader(file) if int(row["exit"]) > int(row["entry"])]
    entry, exit_ = [int(row["entry"]) for row in rows], [int(row["exit"]) for row in rows]
    died = [row["status"] == "1" for row in rows]
    table = risk_table(entry, exit_, np.where(died, "failed", "in service"))
    theirs = survival_table_from_events(exit_, died, entry)
    # theirs opens with a row before all ages and counts who enters at t as at risk at t, not only after it
    theirs = theirs.loc[theirs.index.isin(table.age)]
    assert table.age.tolist() == theirs.index.tolist()
    assert table.failed.tolist() == theirs["observed"].tolist()
    assert table.entered.tolist() == theirs["entrance"].tolist()
    assert table.at_risk.tolist() == (theirs["at_risk"] - theirs["entrance"]).tolist()


def test_the_four_published_lives_that_cannot_be_are_refused_by_row() -> None:
    with (DATA / "channing.csv").open() as file:
        rows = list(csv.DictReader(file))
    with pytest.raises(InvalidLife, match=r"4 of 462 lives cannot be: row \d+ \(957 to 957, in service\), "):
        risk_table(
            [int(row["entry"]) for row in rows],
            [int(row["exit"]) for row in rows],
            np.where([row["status"] == "1" for row in rows], "failed", "in service"),
        )


def test_whole_ages_stay_whole_and_others_are_kept_as_given() -> None:
    assert risk_table([0], [5.0], ["failed"]).age.dtype == np.int64
    assert risk_table([0], [4.5], ["failed"]).age.tolist() == [0.0, 4.5]


def test_ages_given_from_outside_are_exact_unless_said_otherwise() -> None:
    assert risk_table([0], [5], ["failed"]).exact
    assert not risk_table([0], [5], ["failed"], exact=False).exact


def test_no_lives_are_a_table_without_ages() -> None:
    table = risk_table([], [], [])
    assert (table.age.size, table.at_risk.size, table.lives, table.drive_days) == (0, 0, 0, 0)


def test_a_table_cannot_be_written_to_not_even_through_what_it_was_made_from() -> None:
    age, one, none = np.array([0, 5]), np.array([1, 0]), np.zeros(2, dtype=np.int64)
    table = RiskTable(age, one, one[::-1], none, none, none, exact=False)
    age[1] = 99
    assert table.age.tolist() == [0, 5]
    with pytest.raises(ValueError, match="read-only"):
        table.failed[0] = 1


@pytest.mark.parametrize(
    ("age", "entered", "failed", "told"),
    [
        ([0, 5], [1], [0, 1], "one count, 0 or more, of each kind for every age"),
        ([0, 5], [1, 0], [2, -1], "one count, 0 or more, of each kind for every age"),
        ([5, 5], [1, 0], [0, 1], "ages of a risk table rise"),
        ([0, 5], [1, 0], [1, 0], "enters before it ends"),
        ([0, 5], [1, 0], [0, 0], "ends once"),
        ([0, 5], [0, 1], [0, 1], "enters before it ends"),
    ],
)
def test_counts_that_no_lives_have_are_refused(
    age: list[int], entered: list[int], failed: list[int], told: str
) -> None:
    none = np.zeros(2, dtype=np.int64)
    with pytest.raises(InvalidLife, match=told):
        RiskTable(np.array(age), np.array(entered), np.array(failed), none, none, none, exact=False)


@given(some_lives, st.data())
def test_all_at_once_is_each_alone(lives: list[Life], data: st.DataObject) -> None:
    place = np.array(data.draw(st.lists(st.integers(0, 3), min_size=len(lives), max_size=len(lives))))
    entry, exit_, outcome = columns(lives)
    ending = [{"failed": 1, "retired": 2, "vanished": 3}.get(each, 0) for each in outcome]
    at_once = risk_tables_by_day(place, np.array(entry), np.array(exit_), np.array(ending), places=4)
    for number, found in enumerate(at_once):
        alone = risk_table(
            *columns([life for life, at in zip(lives, place, strict=True) if at == number]), exact=False
        )
        assert not found.exact
        for name in ("age", "entered", "failed", "retired", "vanished", "left"):
            assert getattr(found, name).tolist() == getattr(alone, name).tolist()
