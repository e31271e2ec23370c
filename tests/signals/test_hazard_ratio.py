"""When two ways to a ratio disagree, in plain cases on each side of the rule."""

from __future__ import annotations

import pytest

from reliability.interval import Interval
from reliability.signals.hazard_ratio import HazardRatio, disagree


def ratio(value: float, low: float, high: float) -> HazardRatio:
    return HazardRatio(value, Interval(low, high))


@pytest.mark.parametrize(
    ("one", "other", "apart"),
    [
        (ratio(2.0, 1.2, 3.3), ratio(2.1, 1.1, 4.0), False),
        (ratio(2.0, 1.2, 3.3), ratio(1.7, 0.9, 3.2), True),  # one excludes 1, the other does not
        (ratio(2.0, 1.2, 3.3), ratio(0.5, 0.3, 0.8), True),  # on the other side
        (ratio(2.0, 1.2, 3.3), ratio(4.0, 1.9, 8.4), True),  # an estimate outside the other's limits
        (ratio(1.1, 0.4, 3.0), ratio(2.9, 0.9, 9.0), False),
        (ratio(2.0, 1.0, 4.0), ratio(2.0, 0.9, 4.4), False),  # a limit that is 1 does not exclude it
    ],
)
def test_disagreement_is_what_it_is_defined_to_be(
    one: HazardRatio, other: HazardRatio, *, apart: bool
) -> None:
    assert disagree(one, other) is apart
    assert disagree(other, one) is apart
