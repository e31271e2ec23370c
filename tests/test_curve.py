"""What a curve says of itself. Its numbers are held in tests/survival."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from reliability.curve import Curve, share
from reliability.risk_table import risk_table
from reliability.survival.kaplan_meier import kaplan_meier


def fleet(*lives: tuple[int, int, str, int]) -> Curve:
    """Curve of lives given as entry, exit, outcome and how many there are."""
    rows = [life[:3] for life in lives for _ in range(life[3])]
    entry, exit_, outcome = zip(*rows, strict=True)
    return kaplan_meier(risk_table(entry, exit_, outcome))


PLAIN = fleet((0, 400, "failed", 1), (0, 900, "failed", 1), (0, 1000, "in service", 98))


def test_a_plain_curve_needs_no_note_and_shows_all_its_steps() -> None:
    assert PLAIN.label == "Survival"
    assert PLAIN.notes == ()
    assert PLAIN.shown == 2
    # by hand: log 0.98 = -0.020203, Greenwood's sum 1/(100 x 99) + 1/(99 x 98) = 0.00020408, its root over
    # the logarithm 0.70712, so the limits are 0.98 to the power exp(+-1.96 x 0.70712) = 3.9987 and its inverse
    assert str(PLAIN) == "Survival: 98.0 % (95 % 92.24-99.496 %) at age 900 days, 99 at risk; 2 failures"


def test_a_late_start_is_told() -> None:
    late = fleet((816, 900, "failed", 1), (816, 1000, "in service", 30))
    assert late.label == "Survival given alive at age 816 days"
    assert late.notes[0] == (
        "The curve starts at age 816 days and is given alive at it: "
        "drives came under observation later than at age 0."
    )
    assert str(late).startswith("Survival given alive at age 816 days: 96.8 % (95 % ")


def test_few_at_risk_are_told() -> None:
    few = fleet((0, 400, "failed", 1), (0, 900, "retired", 4))
    assert few.notes[0] == (
        "Never were 10 drives at risk when one failed, so the curve is drawn where at least 2 were: "
        "read it with care."
    )


def test_no_failure_is_told_with_what_it_excludes() -> None:
    """The "rule of three": of 300 drives at most about 1 % fail, as 3 / 300."""
    none = fleet((0, 900, "in service", 300))
    assert none.notes[0] == (
        "No failure: at most 0.994 % fail by age 900 days (one-sided 95 %), "
        "if the rate is the same at all these ages."
    )
    assert len(none.notes) == 1
    assert str(none) == none.notes[0]
    assert none.shown == 0


def test_steps_among_few_are_kept_but_not_shown() -> None:
    thin = fleet(*((0, 10 * number, "failed", 1) for number in range(1, 16)))
    assert thin.ages.size == 15
    assert thin.shown == 6  # with the seventh failure 9 are at risk
    assert thin.until_age == 60
    assert thin.at_risk[: thin.shown].min() == 10


def test_the_frame_has_a_row_a_step_and_no_limits_at_0() -> None:
    frame = fleet((0, 10, "failed", 5), (0, 20, "failed", 7)).to_frame()
    assert frame.columns.tolist() == [
        "age_days",
        "at_risk",
        "failures",
        "survival",
        "standard_error",
        "low",
        "high",
    ]
    assert frame["at_risk"].tolist() == [12, 7]
    assert frame[["standard_error", "low", "high"]].isna().sum(axis=1).tolist() == [0, 3]


def test_a_curve_cannot_be_written_to() -> None:
    for column in (PLAIN.ages, PLAIN.survival, PLAIN.low):
        with pytest.raises(ValueError, match="read-only"):
            column[0] = 0


@given(st.floats(1e-9, 1 - 1e-9), st.integers(2, 3))
@settings(deadline=None)
def test_what_is_missing_from_1_keeps_its_digits(survival: float, digits: int) -> None:
    written = float(share(survival, digits)) / 100
    missing = min(survival, 1 - survival)
    assert abs(written - survival) <= 0.51 * 10 ** (math.floor(math.log10(missing)) - digits + 1)


def test_shares_at_the_ends_are_whole() -> None:
    assert [share(value) for value in (0.0, 1.0)] == ["0", "100"]
    assert share(float(np.float64(0.5))) == "50"
