"""Poisson regression of split rates against a published table and statsmodels, and what it refuses."""

from __future__ import annotations

import math

import numpy as np
import pytest
import statsmodels.api as sm

from reliability.rate import Rate
from reliability.signals.hazard_ratio import HazardRatio, Refused
from reliability.signals.split_rates import SplitRate, poisson_hazard_ratio

# Deaths of British doctors from coronary disease by age, smokers and others: deaths and person-years, after Doll & Hill
# (1966), as printed in Breslow & Day (1987), vol. II; the ratio with its limits is the well-known one of the log-linear
# model, 1.4255 (1.1550, 1.7594). Typed in from memory, and confirmed with R 4.2 glm(family = poisson).
DOCTORS = {
    35: ((32, 52_407), (2, 18_790)),
    45: ((104, 43_248), (12, 10_673)),
    55: ((206, 28_612), (28, 5_710)),
    65: ((186, 12_663), (28, 2_585)),
    75: ((102, 5_317), (31, 1_462)),
}


def doctors(model: str = "doctors") -> list[SplitRate]:
    return [
        SplitRate(model, band, exposed, Rate(deaths, 365 * years))
        for band, groups in DOCTORS.items()
        for exposed, (deaths, years) in zip((True, False), groups, strict=True)
    ]


def test_the_smoking_doctors_give_the_published_ratio() -> None:
    found = poisson_hazard_ratio(doctors())
    assert isinstance(found, HazardRatio)
    got = (found.value, found.interval.low, found.interval.high)
    assert got == pytest.approx((1.4255185, 1.1549839, 1.7594212), rel=1e-6)


def random_split(seed: int) -> list[SplitRate]:
    """Four models, one of which never fails, and five bands, the last of them empty for some."""
    rng = np.random.default_rng(seed)
    rows = []
    for model, level in (("A", 0.02), ("B", 0.05), ("C", 0.0), ("D", 0.03)):
        for band in (0, 91, 365, 730, 1095):
            for exposed in (False, True):
                years = float(rng.uniform(0, 400)) if band < 1095 or model != "A" else 0.0
                failures = int(rng.poisson(years * level * (2.5 if exposed else 1.0)))
                rows.append(SplitRate(model, band, exposed, Rate(failures, 365 * years)))
    return rows


@pytest.mark.parametrize("seed", range(5))
def test_agrees_with_statsmodels_whatever_is_left_out(seed: int) -> None:
    split = random_split(seed)
    rows = [row for row in split if row.rate.drive_days and row.model != "C"]
    columns = [
        np.array([float(row.exposed) for row in rows]),
        *(np.array([float(row.model == model) for row in rows]) for model in "ABD"),
        *(np.array([float(row.band == band) for row in rows]) for band in (91, 365, 730, 1095)),
    ]
    failures = np.array([row.rate.failures for row in rows])
    offset = np.log([row.rate.drive_years for row in rows])
    theirs = sm.GLM(failures, np.column_stack(columns), sm.families.Poisson(), offset=offset).fit(tol=1e-12)
    found = poisson_hazard_ratio(split)
    assert isinstance(found, HazardRatio)
    ours = (math.log(found.value), math.log(found.interval.low), math.log(found.interval.high))
    assert ours == pytest.approx((theirs.params[0], *theirs.conf_int()[0]), rel=1e-6)


def test_a_model_in_one_state_only_changes_nothing() -> None:
    alone = [SplitRate("other", band, False, Rate(50, 36_500)) for band in DOCTORS]  # noqa: FBT003  (not exposed)
    assert poisson_hazard_ratio([*doctors(), *alone]) == poisson_hazard_ratio(doctors())


def test_a_second_model_alike_narrows_the_limits_by_the_root_of_two() -> None:
    one, two = poisson_hazard_ratio(doctors()), poisson_hazard_ratio([*doctors(), *doctors("others")])
    assert isinstance(one, HazardRatio)
    assert isinstance(two, HazardRatio)
    assert two.value == pytest.approx(one.value)
    widths = [math.log(found.interval.high / found.interval.low) for found in (one, two)]
    assert widths[0] / widths[1] == pytest.approx(math.sqrt(2))


def split_of(*rows: tuple[int, bool, int, float]) -> list[SplitRate]:
    return [SplitRate("TARN T18", band, exposed, Rate(x, 365 * years)) for band, exposed, x, years in rows]


def test_few_failures_are_refused() -> None:
    found = poisson_hazard_ratio(split_of((0, False, 40, 90), (0, True, 4, 9)))
    assert str(found).startswith("4 failures exposed and 40 unexposed, of models with drives in both states")
    assert isinstance(poisson_hazard_ratio([]), Refused)
    assert isinstance(poisson_hazard_ratio(split_of((0, False, 0, 90), (0, True, 9, 9))), Refused)


def test_a_state_that_is_an_age_is_refused() -> None:
    found = poisson_hazard_ratio(split_of((0, False, 40, 90), (365, True, 10, 90)))
    assert isinstance(found, Refused)
    assert "cannot be told from models and ages" in str(found)
