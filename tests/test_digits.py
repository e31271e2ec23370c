from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from reliability.digits import counted, percent, round_up, significant, years_at_risk


@pytest.mark.parametrize(
    ("value", "digits", "written"),
    [
        (0, 2, "0"),
        (0.35, 2, "0.35"),
        (0.350, 3, "0.350"),
        (0.996, 2, "1.0"),  # rounded up to the next power of ten: no third digit
        (9.96, 2, "10"),
        (1, 2, "1.0"),
        (123.4, 2, "120"),
        (36_500, 3, "36,500"),
        (1_234_567, 3, "1,230,000"),
        (0.000_012_3, 2, "0.000012"),
    ],
)
def test_significant_digits(value: float, digits: int, written: str) -> None:
    assert significant(value, digits) == written


@given(st.floats(1e-9, 1e9), st.integers(1, 6))
def test_what_is_written_is_the_value_within_half_of_its_last_digit(value: float, digits: int) -> None:
    written = float(significant(value, digits).replace(",", ""))
    assert written == pytest.approx(value, rel=0.5000001 * 10 ** (1 - digits))


def test_percent_is_failures_in_a_hundred_drive_years() -> None:
    assert [percent(0.0035), percent(0.00876), percent(1.5), percent(0.0035, 3)] == [
        "0.35",
        "0.88",
        "150",
        "0.350",
    ]


def test_counts_and_exposures_agree_in_number_with_their_noun() -> None:
    assert [counted(n, "failure") for n in (0, 1, 1_200)] == ["0 failures", "1 failure", "1,200 failures"]
    assert [years_at_risk(t) for t in (1_054.3, 1, 2.4)] == [
        "1,054 drive-years",
        "1 drive-year",
        "2 drive-years",
    ]


def test_less_than_a_drive_year_is_not_written_as_none() -> None:
    assert years_at_risk(90 / 365) == "0.25 drive-years"
    assert years_at_risk(0) == "0 drive-years"


@pytest.mark.parametrize(
    ("value", "rounded"),
    [
        (3886.2, 3900),
        (3900, 3900),
        (3901, 4000),
        (99.01, 100),
        (0.27, 0.27),
        (0.271, 0.28),
        (7, 7),
        (1e6 + 1, 1.1e6),
    ],
)
def test_rounding_up_never_adds_to_what_has_few_digits(value: float, rounded: float) -> None:
    assert round_up(value) == rounded


@given(st.floats(1e-9, 1e12))
def test_rounded_up_is_not_below_and_has_two_digits(value: float) -> None:
    rounded = round_up(value)
    assert value <= rounded <= 1.1 * value
    assert len(Decimal(repr(rounded)).normalize().as_tuple().digits) <= 2
