from __future__ import annotations

import math

import numpy as np
import pandas as pd
import pytest

from reliability.errors import InvalidLife
from reliability.lives import OUTCOMES, checked_lives


def test_lives_come_back_as_columns() -> None:
    entry, exit_, outcome = checked_lives(pd.Series([0, 3]), [1, 4.5], ("failed", "in service"))
    assert entry.tolist() == [0, 3]
    assert exit_.tolist() == [1, 4.5]
    assert outcome.tolist() == ["failed", "in service"]


def test_every_outcome_of_the_store_is_known() -> None:
    checked_lives([0] * len(OUTCOMES), [1] * len(OUTCOMES), OUTCOMES)


def test_no_lives_are_fine() -> None:
    assert [column.size for column in checked_lives([], [], [])] == [0, 0, 0]


@pytest.mark.parametrize(
    ("entry", "exit_", "outcome", "told"),
    [
        (5, 5, "failed", "T-9 (5 to 5, failed)"),  # never at risk, yet its failure would count
        (6, 5, "failed", "T-9 (6 to 5, failed)"),
        (-1, 5, "retired", "T-9 (-1 to 5, retired)"),
        (None, 5, "retired", "T-9 (missing to 5, retired)"),
        (0, math.nan, "retired", "T-9 (0 to missing, retired)"),
        (0, math.inf, "retired", "T-9 (0 to inf, retired)"),
        (0, 5, "dead", "T-9 (0 to 5, dead)"),
        (0, 5, None, "T-9 (0 to 5, None)"),
    ],
)
def test_what_is_no_life_is_named_by_its_serial(
    entry: object, exit_: object, outcome: object, told: str
) -> None:
    columns = ([0, entry], [9, exit_], ["failed", outcome], ["T-1", "T-9"])
    with pytest.raises(InvalidLife) as refused:
        checked_lives(*columns)  # type: ignore[arg-type]  # columns as people have them
    assert str(refused.value) == (
        f"1 of 2 lives cannot be: {told}. A life has ages in days, 0 <= entry < exit, "
        "and ends failed, retired, vanished, interrupted or in service; mend it or leave it out."
    )


def test_many_are_counted_and_the_first_named() -> None:
    with pytest.raises(
        InvalidLife, match=r"5 of 5 lives cannot be: row 1 .*, row 2 .*, row 3 .* and 2 more\. .* them"
    ):
        checked_lives(np.arange(5), np.arange(5), ["failed"] * 5)


def test_columns_have_one_length() -> None:
    with pytest.raises(InvalidLife, match="are 2, 1, 2 and 2 in number; give one of each for every life"):
        checked_lives([0, 1], [2], ["failed", "failed"])
