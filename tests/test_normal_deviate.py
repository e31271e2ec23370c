"""The normal distribution of scipy is the authority."""

from __future__ import annotations

import math

import pytest
from hypothesis import example, given
from hypothesis import strategies as st
from scipy.special import erfinv, ndtri

from reliability.normal_deviate import normal_deviate


@given(st.floats(0.01, 0.9999))
@example(0.95)
def test_it_is_that_of_scipy(level: float) -> None:
    assert normal_deviate(level) == pytest.approx(ndtri((1 + level) / 2), rel=1e-12)


@given(st.floats(1e-9, 0.5))
def test_close_to_nothing_it_goes_with_the_level(level: float) -> None:
    assert normal_deviate(level) == pytest.approx(math.sqrt(2) * erfinv(level), rel=1e-6)


def test_the_level_closest_to_1_has_one() -> None:
    assert normal_deviate(math.nextafter(1, 0)) == pytest.approx(-ndtri(2.0**-54), rel=1e-12)
