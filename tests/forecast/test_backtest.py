"""Forecasts held against what came: against scipy's exact binomial limits, and where the truth is known."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.stats import binomtest

from forecast.aged import truth
from reliability.forecast.backtest import Backtest, Trial, calibration
from reliability.forecast.binomials import mixed_binomials
from reliability.forecast.model import Forecast, Method, forecast
from reliability.quarter import Quarter

QUARTER = Quarter(2026, 1)


def trial(chance: float, drives: int, observed: int) -> Trial:
    counts = mixed_binomials(np.array([[chance]]), np.array([drives]))
    told = Forecast(90, drives, 0, 0, Method.FEW, counts, counts.limits(), counts.enough(0.95), 0.95)
    return Trial(QUARTER, "TARN T18", told, observed)


def test_where_failures_lie() -> None:
    trials = [trial(0.1, 100, observed) for observed in (0, 10, 30)]
    assert [each.place for each in trials] == ["below", "inside", "above"]
    found = calibration(trials)
    assert found is not None
    assert (found.below, found.inside, found.above, found.trials, found.spares) == (1, 1, 1, 3, 2)


@pytest.mark.parametrize(("inside", "trials"), [(0, 3), (2, 3), (3, 3), (40, 42)])
def test_limits_of_the_share_are_those_of_the_exact_binomial(inside: int, trials: int) -> None:
    found = calibration([trial(0.1, 100, 10 if each < inside else 60) for each in range(trials)])
    assert found is not None
    outside = binomtest(inside, trials).proportion_ci(method="exact")
    assert (found.share.low, found.share.high) == pytest.approx((outside.low, outside.high))


def test_a_trial_that_needs_no_chance_is_spread_over_all_fourths() -> None:
    found = calibration([trial(0.0, 5, 0)])
    assert found is not None
    assert found.fourths == pytest.approx((0.25, 0.25, 0.25, 0.25))


def test_a_count_that_was_thought_impossible_lies_at_the_end() -> None:
    found = calibration([trial(0.0, 5, 3)])
    assert found is not None
    assert found.fourths == pytest.approx((0, 0, 0, 1))


def test_right_forecasts_fill_the_fourths_evenly_and_wrong_ones_do_not() -> None:
    rng = np.random.default_rng(2)
    seen = rng.binomial(50, 0.1, size=4_000)
    right = calibration([trial(0.1, 50, int(each)) for each in seen])
    wrong = calibration(
        [trial(0.15, 50, int(each)) for each in seen]
    )  # the negative control: half as many again
    assert right is not None
    assert wrong is not None
    assert right.fourths == pytest.approx((0.25, 0.25, 0.25, 0.25), abs=0.02)
    assert wrong.fourths[0] > 0.5


def test_forecasts_of_simulated_fleets_are_calibrated() -> None:
    rng = np.random.default_rng(5)
    fleet, trials = truth(2.0, 60, late=False), []
    for _ in range(250):
        table, drives = fleet.lives(rng)
        made = forecast(table, drives, 120, rng=rng, draws=200)
        to_come = fleet.to_come(drives, 120)
        seen = int(rng.choice(to_come.chances.size, p=to_come.chances))
        trials.append(Trial(QUARTER, None, made, seen))
    found = calibration(trials)
    assert found is not None
    assert found.share.high > 0.95
    assert found.inside / found.trials > 0.91
    assert found.fourths == pytest.approx((0.25, 0.25, 0.25, 0.25), abs=0.09)


def test_without_a_trial_there_is_nothing_to_sum_up() -> None:
    assert calibration([]) is None


def test_its_frame_has_a_row_a_trial() -> None:
    frame = Backtest((trial(0.1, 100, 10),), (trial(0.1, 100, 60),)).to_frame()
    assert frame["place"].tolist() == ["inside", "above"]
