from __future__ import annotations

import numpy as np
import pytest
import slow_survival as slow
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from lifelines.statistics import multivariate_logrank_test
from published_values import rows_of
from statsmodels.duration.survfunc import survdiff

from reliability.errors import QuestionError
from reliability.risk_table import risk_table
from reliability.survival.logrank import logrank
from survival.fleets import many_lives, outcomes, some_lives, table_of, weibull_lives

GROUPS = st.lists(many_lives | some_lives, min_size=2, max_size=4)


@given(GROUPS)
@settings(deadline=None, max_examples=40)
def test_it_is_what_the_definition_gives_life_by_life(groups: list[list[slow.Life]]) -> None:
    found = logrank([table_of(group) for group in groups])
    assume(found.test is not None and found.test.degrees == len(groups) - 1)
    expected, statistic = slow.logrank(groups)
    assert found.test is not None
    assert found.expected == pytest.approx(expected)
    assert found.test.statistic == pytest.approx(statistic, rel=1e-6, abs=1e-9)


@given(GROUPS)
@settings(deadline=None)
def test_as_many_are_expected_as_are_seen(groups: list[list[slow.Life]]) -> None:
    found = logrank([table_of(group) for group in groups])
    assert sum(found.expected) == pytest.approx(sum(found.observed))


@given(GROUPS, st.randoms())
@settings(deadline=None, max_examples=40)
def test_the_order_of_groups_does_not_matter(groups: list[list[slow.Life]], random: st.DataObject) -> None:
    shuffled = list(groups)
    random.shuffle(shuffled)  # type: ignore[attr-defined]  # the strategy gives a random.Random
    one, other = (logrank([table_of(group) for group in each]).test for each in (groups, shuffled))
    if one is None or other is None:
        assert one is other
    else:
        assert one.degrees == other.degrees
        assert one.statistic == pytest.approx(other.statistic, rel=1e-6, abs=1e-9)


@pytest.mark.parametrize("seed", range(8))
def test_with_late_entry_it_is_that_of_statsmodels(seed: int) -> None:
    """statsmodels 0.15.0, survdiff with entry ages; two groups and more, many ties."""
    rng = np.random.default_rng(seed)
    group = rng.integers(0, 2 + seed % 3, 400)
    entry = np.where(rng.random(400) < 0.3, 0, rng.integers(0, 40, 400))
    exit_, failed = weibull_lives(rng, entry.astype(float), 1.5, 50 + 5 * seed, 30)
    exit_ = np.maximum(np.ceil(exit_), entry + 1)
    tables = [
        risk_table(entry[group == g], exit_[group == g], outcomes(failed[group == g]))
        for g in np.unique(group)
    ]
    # it counts who enters at an age as at risk at that age, and we only after it: half a day later is the same
    statistic, p_value = survdiff(exit_, failed.astype(int), group, entry=entry + 0.5)
    found = logrank(tables).test
    assert found is not None
    assert found.statistic == pytest.approx(statistic, rel=1e-6)
    assert found.p_value == pytest.approx(p_value, rel=1e-6)


def test_remissions_under_6mp_and_placebo() -> None:
    """Freireich et al. 1963, against lifelines 0.30.3; books print chi-square 16.79 (from memory, unverified)."""
    rows = rows_of("data/freireich6mp.csv")
    weeks, relapsed = [int(row["week"]) for row in rows], [row["status"] == "1" for row in rows]
    arms = [row["group"] for row in rows]
    theirs = multivariate_logrank_test(weeks, arms, relapsed)
    found = logrank(
        [
            risk_table(
                [0] * 21,
                [week for week, each in zip(weeks, arms, strict=True) if each == arm],
                [
                    "failed" if end else "in service"
                    for end, each in zip(relapsed, arms, strict=True)
                    if each == arm
                ],
            )
            for arm in ("6-MP", "placebo")
        ]
    )
    assert found.test is not None
    assert found.test.statistic == pytest.approx(theirs.test_statistic, rel=1e-9)
    assert found.test.statistic == pytest.approx(16.79, abs=5e-3)
    assert found.test.p_value == pytest.approx(theirs.p_value, rel=1e-6)
    assert found.observed == (9, 21)


def test_a_fleet_ages_like_itself() -> None:
    table = risk_table([0] * 30, list(range(1, 31)), ["failed"] * 30)
    found = logrank([table, table, table])
    assert found.test is not None
    assert found.test.statistic == pytest.approx(0, abs=1e-9)
    assert found.expected == pytest.approx([30, 30, 30])


def test_false_alarms_come_as_often_as_they_may() -> None:
    """600 pairs of fleets that age alike, with different entries, seeded; ignoring entry raises false alarms."""
    rng, alarms, naive = np.random.default_rng(11), 0, 0
    for _ in range(600):
        entries = [np.zeros(60), rng.uniform(200, 800, 60)]
        fleets = [(entry, *weibull_lives(rng, entry, 1.3, 900, 600)) for entry in entries]
        with_entry = logrank([risk_table(e, x, outcomes(f)) for e, x, f in fleets]).test
        without = logrank([risk_table(np.zeros(60), x, outcomes(f)) for _, x, f in fleets]).test
        assert with_entry is not None
        assert without is not None
        alarms += with_entry.p_value < 0.05
        naive += without.p_value < 0.05
    assert 0.03 < alarms / 600 < 0.07
    assert naive / 600 > 0.9  # the negative control


# The edges.
def test_groups_that_never_meet_cannot_be_compared() -> None:
    young, old = risk_table([0] * 9, [50] * 9, ["failed"] * 9), risk_table([60] * 9, [90] * 9, ["failed"] * 9)
    found = logrank([young, old])
    assert found.test is None
    assert str(found) == "Log-rank: no age at which one failed and others were at risk, so nothing to compare"


def test_a_group_that_meets_nobody_takes_no_degree_of_freedom() -> None:
    one, other = (risk_table([0] * 20, [day] * 10 + [99] * 10, ["failed"] * 20) for day in (30, 60))
    apart = risk_table([100] * 9, [150] * 9, ["failed"] * 9)
    alone, with_it = logrank([one, other]).test, logrank([one, other, apart]).test
    assert alone is not None
    assert with_it is not None
    assert with_it.degrees == alone.degrees == 1
    assert with_it.statistic == pytest.approx(alone.statistic)


def test_no_failure_or_no_life_is_nothing_to_compare() -> None:
    safe, none = risk_table([0] * 9, [50] * 9, ["retired"] * 9), risk_table([], [], [])
    assert logrank([safe, none]).test is None
    assert logrank([none, none]).observed == (0, 0)


def test_one_group_is_refused() -> None:
    with pytest.raises(
        QuestionError, match="compares groups, and 1 cannot differ; give two risk tables or more"
    ):
        logrank([risk_table([0], [9], ["failed"])])


def test_it_prints_one_line_and_has_a_row_a_group() -> None:
    early, late = (risk_table([0] * 5, days, ["failed"] * 5) for days in ([1, 2, 3, 4, 5], [6, 7, 8, 9, 10]))
    found = logrank([early, late])
    assert str(found) == (
        "Log-rank over 2 groups: 5 failures (1.8 expected), 5 failures (8.2 expected); "
        "chi-square 9.70 on 1 degree of freedom"
    )
    assert found.to_frame()["observed"].tolist() == [5, 5]
