from __future__ import annotations

import math

import pytest

from reliability.errors import QuestionError
from reliability.interval import Interval


def test_both_limits_belong_to_it() -> None:
    interval = Interval(1.0, 2.0)
    assert [interval.contains(value) for value in (0.9, 1.0, 1.5, 2.0, 2.1)] == [
        False,
        True,
        True,
        True,
        False,
    ]


def test_per_unit_of_exposure_the_level_stays() -> None:
    assert Interval(1.0, 4.0, 0.9) / 2 == Interval(0.5, 2.0, 0.9)


def test_without_exposure_nothing_is_known() -> None:
    assert Interval(0.0, 3.7) / 0 == Interval(0.0, math.inf)


@pytest.mark.parametrize("level", [0, 1, -0.5, 95, math.nan])
def test_a_level_is_a_chance(level: float) -> None:
    with pytest.raises(QuestionError, match=rf"A level of {level} is not .* write 0\.95 for 95 %\."):
        Interval(0.0, 1.0, level)


@pytest.mark.parametrize(("low", "high"), [(2.0, 1.0), (math.nan, 1.0), (0.0, math.nan)])
def test_the_lower_limit_comes_first(low: float, high: float) -> None:
    with pytest.raises(
        QuestionError, match=rf"from {low} to {high} has no inside; give the lower limit first"
    ):
        Interval(low, high)
