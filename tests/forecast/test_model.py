"""One model's forecast: a published example, which method when, laws, and rows at the edge."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from published_values import entries, rows_of
from survival.fits import fitted
from survival.fleets import many_lives, table_of

from forecast.aged import truth
from reliability.errors import InvalidLife, QuestionError
from reliability.forecast.model import Forecast, Method, forecast, together
from reliability.forecast.weibull_draws import weighted_fits
from reliability.in_service import InService, in_service
from reliability.rate import Rate
from reliability.risk_table import RiskTable, risk_table

NONE_FAILED = risk_table([0] * 20, [100] * 20, ["in service"] * 20)


def made(
    table: RiskTable, drives: InService, days: float = 90, seed: int = 1, **more: float | Rate
) -> Forecast:
    return forecast(table, drives, days, rng=np.random.default_rng(seed), draws=300, **more)  # type: ignore[arg-type]  # floats and a rate


def test_failures_expected_of_the_published_fans() -> None:
    """58 surviving fans in their next 1,000 h: Meeker & Escobar (1998), section 12.7; ages exact, in hours here."""
    entry = entries("prediction_intervals")["pred_fan_next1000"]
    fans = rows_of(entry["inputs"]["data"])
    hours = [float(row["hours"]) for row in fans]
    failed = ["failed" if row["status"] == "1" else "in service" for row in fans]
    table = risk_table([0] * len(fans), hours, failed)
    left = in_service([age for age, end in zip(hours, failed, strict=True) if end == "in service"])
    itself = weighted_fits(table, table.failed[table.failed > 0][np.newaxis].astype(float))
    expected = -np.expm1(-itself.due(left.age, entry["inputs"]["ahead_h"])[0]) @ left.drives
    assert expected == pytest.approx(entry["expected"]["expected"], rel=1e-5)


def test_which_method_is_taken_when() -> None:
    rng = np.random.default_rng(3)
    table, drives = truth(1.0, 6).lives(rng)
    assert made(table, drives).method is Method.FEW
    for failures, method in (
        (4, Method.FEW),
        (6, Method.WEIBULL),
    ):  # a rise that six show, and four show too little
        ages = [*range(390, 390 + failures), *[400] * (60 - failures)]
        steep = risk_table([0] * 60, ages, ["failed"] * failures + ["in service"] * (60 - failures))
        assert made(steep, in_service([400] * (60 - failures))).method is method
    table, drives = truth(1.0, 60).lives(rng)
    assert made(table, drives).method is Method.NO_TREND
    table, drives = truth(4.0, 100, late=False).lives(rng)
    assert made(table, drives).method is Method.WEIBULL
    bathtub = risk_table(
        [0] * 400,
        [*range(1, 41)] * 2 + [*range(600, 760)] + [760] * 160,
        ["failed"] * 240 + ["in service"] * 160,
    )
    assert made(bathtub, in_service([760] * 160)).method is Method.BANDS
    at_one_age = risk_table([0] * 40, [50] * 20 + [90] * 20, ["failed"] * 20 + ["in service"] * 20)
    assert made(at_one_age, in_service([90] * 20)).method is Method.BANDS


@given(many_lives, st.lists(st.integers(0, 60), max_size=30), st.integers(0, 3), st.integers(1, 200))
def test_any_fleet_has_a_forecast_that_its_drives_can_bear_out(
    lives: list[tuple[int, int, str]], ages: list[int], unknown: int, days: int
) -> None:
    drives = in_service(ages, unknown)
    found = made(table_of(lives, exact=False), drives, days)
    assert found.in_service == len(ages) + unknown
    assert 0 <= found.interval.low <= found.interval.high <= drives.total
    assert 0 <= found.spares <= drives.total
    assert (found.expected > 0) == (drives.total > 0)
    assert found.counts.chances.sum() == pytest.approx(1)


@pytest.mark.parametrize("shape", [0.6, 1.0, 4.0])
def test_longer_ahead_never_brings_fewer(shape: float) -> None:
    table, drives = truth(shape, 80, late=False).lives(np.random.default_rng(2))
    found = [made(table, drives, days) for days in (1, 30, 90, 91, 365, 1500)]
    for sooner, later in pairwise(found):
        assert sooner.expected < later.expected
        assert sooner.spares <= later.spares
        assert sooner.interval.low <= later.interval.low
        assert sooner.interval.high <= later.interval.high


@pytest.mark.parametrize("shape", [0.6, 1.0, 4.0])
def test_lives_cut_in_two_give_the_same_forecast(shape: float) -> None:
    table, drives = truth(shape, 80, late=False).lives(np.random.default_rng(2))
    entered, left = table.entered.copy(), table.left.copy()
    at = int(np.flatnonzero(table.at_risk > 20)[3])
    entered[at] += 20  # 20 lives end there, and go on as others
    left[at] += 20
    cut = RiskTable(table.age, entered, table.failed, table.retired, table.vanished, left, exact=False)
    one, other = made(table, drives), made(cut, drives)
    assert other.counts.chances == pytest.approx(one.counts.chances, abs=1e-6)
    assert (other.method, other.interval, other.spares) == (one.method, one.interval, one.spares)


@pytest.mark.parametrize("shape", [1.0, 4.0])
def test_drives_in_parts_expect_what_they_expect_together(shape: float) -> None:
    table, drives = truth(shape, 80, late=False).lives(np.random.default_rng(2))
    parts = [InService(drives.age[some], drives.drives[some]) for some in (slice(0, 1), slice(1, None))]
    whole = made(table, drives)
    assert sum(made(table, part).expected for part in parts) == pytest.approx(whole.expected, rel=1e-6)


def test_without_a_failure_it_is_neither_nothing_nor_no_spares() -> None:
    found = made(NONE_FAILED, in_service([100] * 20), 100)
    assert found.expected > 0
    assert found.interval.high >= 1
    assert found.spares >= 1  # with sqrt(1/2) = 0.71 none fails, short of the 0.95 that were asked


def test_with_much_more_exposure_and_no_failure_no_spare_is_needed() -> None:
    """1,000 drives run for 10 years, one of them left for a day: its chance to fail is far below 1 - 0.95."""
    table = risk_table([0] * 1000, [3650] * 1000, ["in service"] * 1000)
    found = made(table, in_service([3650]), 1)
    assert (found.spares, found.interval.high) == (0, 0)
    assert found.expected > 0


def test_no_drive_in_service() -> None:
    found = made(NONE_FAILED, in_service([]))
    assert (found.method, found.in_service, found.expected, found.spares) == (Method.NONE, 0, 0, 0)
    assert together([found]) is found


def test_all_failed_and_one_drive_left_over() -> None:
    table = risk_table([0] * 12, [*range(10, 22)], ["failed"] * 12)
    found = made(table, in_service([5]), 365)
    assert (found.interval.high, found.spares) == (1, 1)
    assert found.expected == pytest.approx(1, abs=0.05)


def test_drives_of_unknown_age_fail_at_the_constant_rate() -> None:
    """Of a fleet forecast by age: 50 drives more, of unknown age, expect what the rate of all lives gives them."""
    table, drives = truth(4.0, 100, late=False).lives(np.random.default_rng(2))
    known = made(table, drives, 30)
    more = made(table, InService(drives.age, drives.drives, 50), 30)
    assert more.method is Method.WEIBULL
    assert more.unknown_age == 50
    rate = Rate(table.failures, table.drive_days)
    assert more.expected - known.expected == pytest.approx(
        50 * 30 * rate.failures / rate.drive_days, rel=0.03
    )
    lower = made(
        table, InService(drives.age, drives.drives, 50), 30, rate=Rate(rate.failures, 2 * rate.drive_days)
    )
    assert lower.expected - known.expected == pytest.approx((more.expected - known.expected) / 2, rel=0.03)


def test_drives_beyond_all_experience_are_counted() -> None:
    table, drives = truth(4.0, 100, late=False).lives(np.random.default_rng(2))
    assert made(table, drives, 90).beyond == drives.total  # all are 700 days old, as old as any was
    assert made(table, in_service([10] * 5), 90).beyond == 0


@pytest.mark.parametrize("shape", [1.0, 4.0])
def test_spread_between_batches_widens_the_limits(shape: float) -> None:
    table, drives = truth(shape, 80, late=False).lives(np.random.default_rng(2))
    narrow, wide = made(table, drives), made(table, drives, dispersion=6.0)
    assert wide.interval.low < narrow.interval.low
    assert wide.interval.high > narrow.interval.high


def test_models_together_need_fewer_spares_than_each_for_itself() -> None:
    table, drives = truth(1.0, 20).lives(np.random.default_rng(2))
    each = [made(table, drives, seed=seed) for seed in range(5)]
    total = together(each)
    assert total.expected == pytest.approx(sum(one.expected for one in each), rel=1e-9)
    assert total.in_service == 5 * drives.total
    assert max(one.spares for one in each) <= total.spares < sum(one.spares for one in each)
    assert together([each[0], made(NONE_FAILED, in_service([]))]) is each[0]


def test_the_sum_of_models_agrees_with_drawing_them() -> None:
    rng = np.random.default_rng(7)
    forecasts = [made(*truth(shape, 60, late=False).lives(rng)) for shape in (0.6, 1.0, 4.0)]
    drawn = sum(rng.choice(one.counts.chances.size, size=40_000, p=one.counts.chances) for one in forecasts)
    total = together(forecasts)
    assert np.mean(drawn <= total.spares) == pytest.approx(total.counts.at_most(total.spares), abs=0.01)


def test_the_same_seed_gives_the_same_forecast() -> None:
    table, drives = truth(4.0, 80, late=False).lives(np.random.default_rng(2))
    assert made(table, drives).counts.chances.tolist() == made(table, drives).counts.chances.tolist()


def test_it_reads_as_a_line_and_as_a_frame() -> None:
    found = made(NONE_FAILED, in_service([100] * 20), 100)
    assert str(found).startswith("20 drives in service, 100 days: 0.48 failures expected (95 % 0-")
    assert found.to_frame().to_dict("records")[0]["method"] == "constant rate"


def test_a_rise_with_age_is_forecast_above_the_constant_rate() -> None:
    table, drives = truth(4.0, 100, late=False).lives(np.random.default_rng(2))
    assert fitted(table).direction == "rises with age"
    assert made(table, drives).expected > 1.5 * 90 * drives.total * table.failures / table.drive_days


@pytest.mark.parametrize(
    ("ask", "says"),
    [
        (lambda: made(NONE_FAILED, in_service([1]), 0), "0 days cannot be forecast"),
        (lambda: made(NONE_FAILED, in_service([1]), 3651), "at most 3,650"),
        (lambda: made(NONE_FAILED, in_service([1]), dispersion=0.5), "A dispersion of 0.5 is none"),
        (lambda: made(NONE_FAILED, in_service([1]), service=95), "A level of 95"),
        (lambda: made(risk_table([], [], []), in_service([1])), "without exposure"),
    ],
)
def test_what_cannot_be_forecast_is_refused(ask: object, says: str) -> None:
    assert callable(ask)
    with pytest.raises(QuestionError, match=says):
        ask()


@pytest.mark.parametrize("ages", [[-1], [float("nan")], [float("inf")]])
def test_ages_that_no_drive_has_are_refused(ages: list[float]) -> None:
    with pytest.raises(InvalidLife, match="finite, 0 or more"):
        in_service(ages)


def test_counts_of_drives_below_0_are_refused() -> None:
    with pytest.raises(InvalidLife, match="Fewer than 0 drives"):
        in_service([1], unknown=-1)
