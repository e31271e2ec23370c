from __future__ import annotations

import math
import warnings
from typing import TYPE_CHECKING

import numpy as np
import pytest
from lifelines import WeibullFitter

from reliability.errors import InvalidLife, QuestionError
from reliability.risk_table import risk_table
from reliability.survival.weibull import weibull
from reliability.survival.weibull_life import NoFit, WeibullRefused
from survival.fits import HALF, fitted, limits
from survival.fleets import outcomes, table_of, weibull_lives

if TYPE_CHECKING:
    import slow_survival as slow


@pytest.mark.parametrize(
    ("lives", "reason", "told"),
    [
        ([], NoFit.TOO_FEW, "0 failures. A fit takes at least 2 failures at different ages; use the rate"),
        ([(0, 9, "retired")], NoFit.TOO_FEW, "0 failures."),
        ([(0, 5, "retired"), (0, 9, "failed")], NoFit.TOO_FEW, "1 failure. A fit takes at least 2"),
        ([(0, 9, "failed")] * 20, NoFit.ONE_AGE, "all 20 failures are at one age, which fits any steep rise"),
        (
            [(100, 101, "failed"), (100, 103, "failed"), *[(100, 5000, "retired")] * 50],
            NoFit.NO_MAXIMUM,
            "2 failures, so early among the ages seen that the likelihood rises until the shape is 0",
        ),
    ],
)
def test_what_cannot_be_fitted_is_refused_with_its_reason(
    lives: list[slow.Life], reason: NoFit, told: str
) -> None:
    table = table_of(lives) if lives else risk_table([], [], [])
    found = weibull(table)
    assert isinstance(found, WeibullRefused)
    assert found.reason is reason
    assert str(found) == found.sentence
    assert told in found.sentence
    assert found.to_frame()["refused"].tolist() == [reason.value]


@pytest.mark.parametrize(("failures", "marked"), [(2, True), (4, True), (5, False)])
def test_few_failures_are_marked_very_uncertain(failures: int, marked: bool) -> None:  # noqa: FBT001
    days = [100 * number for number in range(1, failures + 1)]
    fit = fitted(
        risk_table(
            [0] * 30, [*days, *[700] * (30 - failures)], ["failed"] * failures + ["retired"] * (30 - failures)
        )
    )
    assert fit.very_uncertain is marked
    assert (", very uncertain: shape" in str(fit)) is marked


@pytest.mark.parametrize(
    ("days", "direction", "words"),
    [
        ([1, 2, 4, 9, 30, 80], "falls with age", "the hazard falls with age"),
        ([620, 640, 655, 660, 680, 690], "rises with age", "the hazard rises with age"),
        ([100, 230, 350, 440, 590, 650], "no clear trend", "no clear trend with age"),
        (
            [10, 60, 150, 300, 450, 650],
            "no clear trend",
            "no clear trend with age",
        ),  # 0.83, not surely below 1
    ],
)
def test_a_direction_is_named_only_if_the_limits_exclude_1(
    days: list[int], direction: str, words: str
) -> None:
    fit = fitted(risk_table([0] * 40, [*days, *[700] * 34], ["failed"] * 6 + ["retired"] * 34))
    assert fit.direction == direction
    assert words in str(fit)
    assert fit.shape.low is not None
    assert fit.shape.high is not None
    assert (fit.shape.low <= 1 <= fit.shape.high) == (direction == "no clear trend")


def test_a_quantile_beyond_experience_is_marked_extrapolated() -> None:
    table = risk_table(
        [0] * 40, [100, 300, 500, *[700] * 27, *[5000] * 10], ["failed"] * 3 + ["retired"] * 37
    )
    fit = fitted(table, quantiles=(0.01, 0.9))
    assert [(quantile.name, quantile.extrapolated) for quantile in fit.quantiles] == [
        ("B1", False),
        ("B90", True),
    ]
    assert fit.quantiles[0].age.value < 700
    assert fit.quantiles[1].age.value > 5000
    assert str(fit).count("(extrapolated)") == 1
    just = fitted(table, quantiles=(0.06,)).quantiles[0]
    assert 700 < just.age.value < 1400
    assert just.extrapolated is False  # ten are at risk up to 5000 days
    eight = risk_table([0] * 38, [100, 300, 500, *[700] * 27, *[5000] * 8], ["failed"] * 3 + ["retired"] * 35)
    (beyond,) = fitted(eight, quantiles=(0.06,)).quantiles
    assert 700 < beyond.age.value < 1400
    assert beyond.extrapolated is True  # with eight, only up to 700
    nine = risk_table([0] * 9, [100, 300, 500, *[700] * 6], ["failed"] * 3 + ["retired"] * 6)
    assert fitted(nine).quantiles[0].extrapolated  # 10 were never at risk


def test_a_shape_without_a_lower_limit_has_none_and_its_ages_neither() -> None:
    """All enter late, and two failures leave a hazard in proportion to 1 / age possible."""
    fit = fitted(risk_table([400] * 60, [500, 650, *[700] * 58], ["failed"] * 2 + ["retired"] * 58))
    assert fit.shape.low is None
    assert fit.scale.low is None
    assert "(95 % no lower limit, " in str(fit)
    assert fit.to_frame()["low"].isna().tolist() == [True, True, True]
    assert fit.shape.high is not None


def test_a_limit_a_million_times_off_is_none() -> None:
    """All but one enter late: shapes close to 0 stay possible, and with them ages beyond all bounds."""
    ends = ["retired", "failed", "failed", *["retired"] * 1998]
    fit = fitted(risk_table([0, *[400] * 2000], [401, 450, 600, *[700] * 1998], ends))
    assert fit.shape.low is not None
    assert limits(fit.scale) == (None, None)
    assert "; scale over 1,000,000,000 days (no lower limit, no upper limit); 10 % fail by " in str(fit)


def test_a_lower_limit_far_beyond_experience_is_a_limit() -> None:
    """A shape of 0.05: half fail in the first days or never, so even the least scale is out of all bounds."""
    rng = np.random.default_rng(2)
    exit_, failed = weibull_lives(rng, np.zeros(3000), 0.05, 1e20, 1000)
    fit = fitted(risk_table(np.zeros(3000), exit_, outcomes(failed)))
    assert fit.scale.low is not None
    assert fit.scale.low > 1e10
    assert fit.scale.high is None
    assert fit.shape.high is not None


def test_a_failure_on_the_first_day_is_at_mid_day_and_does_no_harm() -> None:
    fit = fitted(risk_table([0] * 20, [1, 1, 30, *[90] * 17], ["failed"] * 3 + ["retired"] * 17, exact=False))
    theirs = WeibullFitter().fit([HALF, HALF, 29.5, *[90] * 17], [1] * 3 + [0] * 17)
    assert fit.shape.value == pytest.approx(theirs.rho_, rel=1e-4)


def test_hazard_and_survival_at_ages_are_finite() -> None:
    fit = fitted(risk_table([0] * 6, [690, 691, 692, 693, 694, 695], ["failed"] * 6))
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        hazards = fit.integrated_hazard([0, 695, 1e6, 1e300])
    assert hazards[0] == 0
    assert np.isfinite(hazards).all()
    assert fit.survival([0.0, 1e300]).tolist() == [1, 0]
    assert fit.survival(fit.scale.value) == pytest.approx(math.exp(-1))
    assert fit.survival(fit.quantiles[0].age.value) == pytest.approx(0.9)


@pytest.mark.parametrize("share", [0, 1, 10, -0.1, float("nan")])
def test_a_share_that_is_none_is_refused(share: float) -> None:
    with pytest.raises(QuestionError, match=r"give one strictly between 0 and 1, such as 0\.1 for 10 %"):
        weibull(risk_table([0] * 2, [5, 9], ["failed"] * 2), quantiles=[share])


def test_a_level_that_is_none_is_refused() -> None:
    with pytest.raises(QuestionError, match="is not strictly between 0 and 1"):
        weibull(risk_table([0] * 2, [5, 9], ["failed"] * 2), level=1.0)


def test_ages_known_to_the_day_must_be_days() -> None:
    """Half a day earlier than 9.9 would be before an entry at 9.5."""
    table = risk_table([9.5, 0], [9.9, 20], ["failed"] * 2, exact=False)
    with pytest.raises(InvalidLife, match="give whole days, or say that the ages are exact"):
        weibull(table)
