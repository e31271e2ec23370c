from __future__ import annotations

import pytest
from scipy.stats import chi2

from reliability.survival.chi_square import ChiSquareTest


@pytest.mark.parametrize("degrees", [1, 2, 7, 40])
@pytest.mark.parametrize("statistic", [0.0, 1e-6, 0.5, 3.841459, 60.0, 400.0])
def test_the_tail_is_that_of_scipy(statistic: float, degrees: int) -> None:
    assert ChiSquareTest(statistic, degrees).p_value == pytest.approx(chi2.sf(statistic, degrees), rel=1e-10)


def test_it_prints_without_its_p_value() -> None:
    assert str(ChiSquareTest(16.793, 2)) == "chi-square 16.79 on 2 degrees of freedom"
