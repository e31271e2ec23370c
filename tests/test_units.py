from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from reliability.units import drive_years, mtbf_from_rate, rate_from_mtbf


@given(st.floats(1, 1e12))
def test_mtbf_and_rate_convert_there_and_back(mtbf_hours: float) -> None:
    assert mtbf_from_rate(rate_from_mtbf(mtbf_hours)) == pytest.approx(mtbf_hours, rel=1e-12)


def test_exposure_and_mtbf_share_one_year() -> None:
    """A drive that runs a drive-year runs 8760 hours, so its MTBF in them is a rate of 1."""
    assert rate_from_mtbf(24 * 365 * drive_years(365)) == 1


def test_a_rate_of_zero_has_no_upper_limit() -> None:
    assert mtbf_from_rate(0) == math.inf
