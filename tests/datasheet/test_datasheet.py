from __future__ import annotations

import math
from dataclasses import fields
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from reliability.datasheet import Datasheet
from reliability.datasheet.rules import RULES
from reliability.errors import DatasheetError


def test_a_rule_for_each_key_and_a_key_for_each_rule() -> None:
    assert list(RULES) == [field.name for field in fields(Datasheet)]


# The pair of 2.5 million hours and 0.35 % is the usual one on data sheets (common practice, no source).
def test_mtbf_is_read_over_8760_hours() -> None:
    assert Datasheet("TARN T18", mtbf_hours=2_500_000).stated_rate == pytest.approx(0.003504)


def test_an_afr_is_a_rate_unless_it_is_called_a_probability() -> None:
    assert Datasheet("TARN T18", afr_percent=2.0).stated_rate == 0.02
    probability = Datasheet("TARN T18", afr_percent=2.0, afr_is="probability")
    assert probability.stated_rate == pytest.approx(-math.log(0.98))
    assert Datasheet("TARN T18", afr_percent=350).stated_rate == 3.5


@given(st.floats(0.01, 99))
def test_a_probability_and_its_rate_are_one_statement(percent: float) -> None:
    rate = Datasheet("TARN T18", afr_percent=percent, afr_is="probability").stated_rate
    assert 1 - math.exp(-rate) == pytest.approx(percent / 100)


def test_which_figure_was_used_and_how_is_told() -> None:
    assert Datasheet("T", mtbf_hours=1e6).basis == "stated MTBF of 1,000,000 h, with 8,760 h to a year"
    assert Datasheet("T", afr_percent=0.35).basis == "stated AFR of 0.35 %, read as a rate"
    assert Datasheet("T", afr_percent=4, afr_is="probability").basis == (
        "stated AFR of 4 %, read as the probability to fail within a year"
    )


def test_mtbf_and_afr_that_agree_need_no_note() -> None:
    assert Datasheet("TARN T18", mtbf_hours=2_500_000, afr_percent=0.35).note is None
    assert Datasheet("TARN T18", mtbf_hours=2_500_000).note is None


def test_they_agree_within_three_percent_of_the_rate() -> None:
    """An AFR of 1 % is 876,000 h; three percent either way are 850,500 h and 903,100 h."""
    sheets = [
        Datasheet("T", mtbf_hours=hours, afr_percent=1.0) for hours in (849_000, 852_000, 902_000, 904_000)
    ]
    assert [sheet.note is None for sheet in sheets] == [False, True, True, False]


def test_mtbf_and_afr_that_disagree_are_noted_and_the_afr_is_used() -> None:
    sheet = Datasheet("TARN T18", mtbf_hours=2_000_000, afr_percent=0.35)
    assert sheet.stated_rate == pytest.approx(0.0035)
    assert sheet.note == (
        "TARN T18: its MTBF of 2,000,000 h is 0.438 % a year, its AFR is 0.350 % a year; the AFR is used."
    )


def test_made_in_python_it_is_checked_as_one_from_a_file() -> None:
    with pytest.raises(DatasheetError) as refused:
        Datasheet("TARN T18", capacity_tb=-1)
    assert str(refused.value) == (
        "The datasheet of 'TARN T18' cannot be used: capacity_tb is -1, it must be a number of terabytes "
        "above 0, such as 18; it states no rate, give mtbf_hours or afr_percent."
    )


def test_temperatures_from_a_list_are_kept_as_a_pair() -> None:
    from_toml: dict[str, Any] = {"operating_temperature_c": [5, 60]}
    assert Datasheet("T", afr_percent=1, **from_toml) == Datasheet(
        "T", afr_percent=1, operating_temperature_c=(5, 60)
    )
