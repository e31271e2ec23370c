from __future__ import annotations

import numpy as np
import pytest
import slow_survival as slow
from hypothesis import given, settings
from lifelines import AalenJohansenFitter
from published_values import rows_of

from reliability.risk_table import risk_table
from reliability.survival.cumulative_incidence import CAUSES, cumulative_incidence
from reliability.survival.kaplan_meier import kaplan_meier
from survival.fleets import many_lives, some_lives, table_of, weibull_lives


@given(some_lives | many_lives)
@settings(deadline=None)
def test_it_is_what_the_definition_gives_life_by_life(lives: list[slow.Life]) -> None:
    shares = cumulative_incidence(table_of(lives))
    for cause in CAUSES:
        expected = slow.incidence(lives, cause, slow.start(lives)[0])
        assert shares.ages.tolist() == [step.age for step in expected]
        assert getattr(shares, cause) == pytest.approx([step.share for step in expected], abs=1e-12)
        errors = getattr(shares, f"{cause}_error")
        assert errors == pytest.approx([step.error for step in expected], abs=1e-7)  # a root of rounding


@given(some_lives | many_lives)
@settings(deadline=None)
def test_shares_add_up_to_1_and_none_falls(lives: list[slow.Life]) -> None:
    shares = cumulative_incidence(table_of(lives))
    each = np.array([getattr(shares, cause) for cause in CAUSES])
    assert each.sum(axis=0) + shares.remaining == pytest.approx(np.ones(shares.ages.size), abs=1e-12)
    assert (np.diff(each, prepend=0.0) >= 0).all()


@given(some_lives | many_lives)
@settings(deadline=None)
def test_with_one_way_to_leave_it_is_one_less_survival_with_greenwoods_error(lives: list[slow.Life]) -> None:
    lone = [(entry, end, "failed" if outcome == "failed" else "in service") for entry, end, outcome in lives]
    curve, shares = kaplan_meier(table_of(lone)), cumulative_incidence(table_of(lone))
    assert shares.failed == pytest.approx(1 - curve.survival, abs=1e-12)
    alive = curve.survival > 0
    assert shares.failed_error[alive] == pytest.approx(curve.standard_error.compressed(), abs=1e-7)


@pytest.mark.parametrize("group", ["Control", "Germ-free"])
def test_without_censoring_errors_are_those_of_plain_proportions(group: str) -> None:
    """Hoel's mice all died: each share is a proportion p of n, with the binomial error sqrt(p (1 - p) / n)."""
    ends = {"1": "failed", "2": "retired", "3": "vanished"}
    rows = [row for row in rows_of("data/hoel_mice.csv", group=group) if row["outcome"] in ends]
    ages = [int(row["days"]) for row in rows]
    shares = cumulative_incidence(risk_table([0] * len(rows), ages, [ends[row["outcome"]] for row in rows]))
    for cause in CAUSES:
        p = getattr(shares, cause)
        assert getattr(shares, f"{cause}_error") == pytest.approx(np.sqrt(p * (1 - p) / len(rows)), abs=1e-9)


@pytest.mark.parametrize("seed", range(5))
def test_shares_are_those_of_lifelines_without_ties(seed: int) -> None:
    """lifelines 0.30.3 moves tied ages at random, so the ages here are all different."""
    rng = np.random.default_rng(seed)
    exit_, failed = weibull_lives(rng, np.zeros(200), 1.2, 900, 500)
    outcome = np.where(failed, "failed", rng.choice(["retired", "vanished", "in service"], 200))
    exit_ = np.where(failed, exit_, rng.uniform(1, exit_))
    shares = cumulative_incidence(risk_table(np.zeros(200), exit_, outcome), from_age=0)
    codes = np.select([outcome == cause for cause in CAUSES], [1, 2, 3], 0)
    for code, cause in enumerate(CAUSES, start=1):
        theirs = AalenJohansenFitter(calculate_variance=False).fit(exit_, codes, event_of_interest=code)
        expected = theirs.cumulative_density_.loc[shares.ages].to_numpy()[:, 0]
        assert getattr(shares, cause) == pytest.approx(expected, abs=1e-9)


def test_the_error_is_how_far_shares_of_fleets_lie_apart() -> None:
    """2000 fleets of 60 drives, half of them from age 300 on; retired at random, simulated with a seed."""
    rng, found, errors = np.random.default_rng(5), [], []
    entry = np.repeat([0.0, 300.0], 30)
    for _ in range(2000):
        life, _ = weibull_lives(rng, entry, 1.5, 1500, 1e9)
        retired = entry + rng.exponential(1200, 60)
        ends = np.where(life < retired, "failed", "retired")
        shares = cumulative_incidence(risk_table(entry, np.minimum(life, retired), ends), from_age=0)
        at = np.searchsorted(shares.ages, 1000) - 1
        found.append(shares.failed[at])
        errors.append(shares.failed_error[at])
    assert np.mean(errors) == pytest.approx(np.std(found), rel=0.05)


def test_one_less_survival_is_more_than_the_share_that_failed() -> None:
    """The negative control: where half is retired, the curve of failures alone overstates the share."""
    table = risk_table(
        [0] * 100, [100] * 50 + [200] * 25 + [300] * 25, ["retired"] * 50 + ["failed"] * 25 + ["retired"] * 25
    )
    assert cumulative_incidence(table).failed[-1] == 0.25
    assert 1 - kaplan_meier(table).survival[-1] == 0.5


def test_it_prints_one_line_and_has_a_row_an_age() -> None:
    table = risk_table(
        [0] * 40, [100] * 10 + [200] * 30, ["failed"] * 10 + ["vanished"] * 5 + ["in service"] * 25
    )
    shares = cumulative_incidence(table)
    assert str(shares) == "Of the drives, by age 200 days: 25 % failed, 0 % retired, 12 % vanished"
    assert shares.to_frame()["remaining"].tolist() == [0.75, 0.625]
    late = cumulative_incidence(risk_table([50] * 20, [100] * 20, ["failed"] * 2 + ["in service"] * 18))
    assert (
        str(late)
        == "Of the drives alive at age 50 days, by age 100 days: 10 % failed, 0 % retired, 0 % vanished"
    )


def test_where_none_left_there_is_nothing_to_share() -> None:
    for table in (risk_table([0] * 20, [50] * 20, ["in service"] * 20), risk_table([], [], [])):
        assert str(cumulative_incidence(table)) == "Of the drives, none failed, was retired or vanished"
        assert cumulative_incidence(table).to_frame().empty
