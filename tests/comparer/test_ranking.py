"""Models side by side: order, refusals, pairs after Holm, words."""

from __future__ import annotations

from itertools import combinations
from typing import TYPE_CHECKING

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from statsmodels.stats.multitest import multipletests

from reliability.comparer.ranking import Model, Ranking, rank
from reliability.comparer.ratios import exact_ratio
from reliability.rate import Rate

if TYPE_CHECKING:
    from collections.abc import Sequence

YOUNG, OLD = (0, 365), (365, None)


def model(name: str, failures: int, drive_years: int) -> Model:
    return Model(name, Rate(failures, 365 * drive_years))


def aged(name: str, *failures: int, drive_years: tuple[int, int]) -> Model:
    by_age = {
        band: Rate(x, 365 * years)
        for band, x, years in zip((YOUNG, OLD), failures, drive_years, strict=True)
        if years
    }
    return Model(name, sum(by_age.values(), Rate(0, 0)), by_age)


def ranked(*models: Model) -> Ranking:
    return rank(models, rng=np.random.default_rng(3))


SPREAD = [
    model("A", 90, 1_000),
    model("B", 10, 1_000),
    model("C", 12, 1_000),
    model("D", 11, 1_000),
    model("E", 1, 9),
]


def test_order_is_that_of_the_shrunk_rates_not_of_the_raw_ones() -> None:
    found = ranked(*SPREAD)
    assert found.rows[0].model.name == "A"
    raw = max(found.rows, key=lambda row: row.model.rate.per_year or 0)
    assert raw.model.name == "E"  # one failure in nine drive-years
    shrunk = [row.shrunk.per_year for row in found.rows if row.shrunk]
    assert shrunk == sorted(shrunk, reverse=True)
    assert len(shrunk) == 5


def test_pairs_carry_the_exact_ratio_and_holm_over_all_of_them() -> None:
    found = ranked(*SPREAD)
    rates = {each.name: each.rate for each in SPREAD}
    assert len(found.pairs) == 10
    for pair in found.pairs:
        assert pair.ratio == exact_ratio(rates[pair.model], rates[pair.other])
        assert (pair.ratio.value or 0) >= 1
    p_values = [pair.ratio.p_value for pair in found.pairs]
    theirs = multipletests(p_values, method="holm")[1]
    assert [pair.p_holm for pair in found.pairs] == pytest.approx(theirs.tolist())
    by_name = {(pair.model, pair.other): pair for pair in found.pairs}
    assert by_name["A", "B"].told_apart
    assert by_name["A", "B"].sentence == "A fails 9.0 times as often as B (4.67-19.4). (ages not allowed for)"
    assert not by_name["C", "B"].told_apart
    assert (
        found.sentence
        == "Taken together these models do not all fail at one rate; 3 of 10 pairs can be told apart."
    )


def test_a_difference_that_does_not_hold_among_so_many_pairs_is_worded_so() -> None:
    """24 of 34 failures at equal exposure: p = 0.024 (binomial), and six times that is over 0.05."""
    found = ranked(model("A", 24, 1_000), model("B", 10, 1_000), model("C", 15, 1_000), model("D", 15, 1_000))
    pair = next(pair for pair in found.pairs if (pair.model, pair.other) == ("A", "B"))
    assert pair.ratio.excludes_one
    assert not pair.told_apart
    assert pair.sentence == (
        "A fails 2.4 times as often as B (1.11-5.62) on their own figures, "
        "but not after allowing for 6 pairs compared. (ages not allowed for)"
    )


def test_models_that_nothing_tells_apart_look_so() -> None:
    found = ranked(*(model(name, 10 + place, 1_000) for place, name in enumerate("ABCDE")))
    assert found.sentence.startswith("Nothing tells these models apart: chance alone")
    assert all(row.shrunk is not None and row.shrunk.worst_probability < 0.5 for row in found.rows)
    limits = [row.shrunk.interval for row in found.rows if row.shrunk]
    assert max(each.low for each in limits) < min(each.high for each in limits)


def test_like_ages_are_compared_with_like() -> None:
    """B's drives are old; at either age both fail alike."""
    found = ranked(
        aged("A", 9, 30, drive_years=(900, 300)),
        aged("B", 6, 60, drive_years=(600, 600)),
    )
    assert found.refused == (
        (
            "No shrunk rates: 2 models, and it takes 5 to see how far models spread; "
            "read each rate with its own limits."
        ),
    )
    pair = found.pairs[0]
    assert pair.ratio.by_age
    assert pair.ratio.value == pytest.approx(1)
    assert pair.sentence.endswith("times.")  # ages are allowed for
    standardised = [row.standardised.per_year for row in found.rows if row.standardised]
    assert standardised == pytest.approx([(0.01 * 1_500 + 0.1 * 900) / 2_400] * 2)
    crude = [row.model.rate.per_year for row in found.rows]
    assert crude == pytest.approx([0.0325, 0.055])


def test_models_without_a_shared_age_are_not_standardised_and_compared_crudely() -> None:
    found = ranked(aged("A", 9, 0, drive_years=(900, 0)), aged("B", 0, 60, drive_years=(0, 600)))
    assert all(row.standardised is None for row in found.rows)
    assert found.refused[0].startswith("No rates at one mix of ages: 100 % of the exposure")
    assert found.pairs[0].sentence.endswith("(ages not allowed for)")


def test_no_failure_anywhere() -> None:
    found = ranked(*(model(name, 0, 100) for name in "ABCDE"))
    assert found.pairs[0].p_holm is None
    assert found.pairs[0].sentence == "No failures in either, nothing to compare."
    assert found.sentence == "Nothing to compare: it takes two models with exposure, and a failure."
    assert [row.model.name for row in found.rows] == list("ABCDE")


def test_one_model_and_none() -> None:
    alone = ranked(model("A", 3, 100), model("unseen", 0, 0))
    assert (len(alone.rows), alone.pairs, alone.overall) == (1, (), None)
    nothing = ranked()
    assert (nothing.rows, nothing.pairs) == ((), ())
    assert len(nothing.refused) == 2


def runs_by_trying_all(names: Sequence[str], apart: set[frozenset[str]]) -> set[tuple[int, int]]:
    """Every stretch of rows without a pair told apart that lies in no longer one."""
    stretches = [
        (first, last)
        for first, last in combinations(range(len(names)), 2)
        if not any(frozenset(pair) in apart for pair in combinations(names[first : last + 1], 2))
    ]
    return {
        (first, last)
        for first, last in stretches
        if not any(a <= first and last <= b and (a, b) != (first, last) for a, b in stretches)
    }


@settings(max_examples=25, deadline=None)
@given(st.lists(st.tuples(st.integers(0, 60), st.sampled_from([5, 300, 1_000])), min_size=1, max_size=7))
def test_runs_are_the_longest_stretches_without_a_pair_told_apart(counts: list[tuple[int, int]]) -> None:
    found = ranked(*(model(f"M{place}", x, years) for place, (x, years) in enumerate(counts)))
    names = [row.model.name for row in found.rows]
    apart = {frozenset((pair.model, pair.other)) for pair in found.pairs if pair.told_apart}
    assert set(found.together) == runs_by_trying_all(names, apart)
    assert list(found.together) == sorted(found.together)


def test_one_that_differs_stands_outside_the_bracket_of_the_others() -> None:
    found = ranked(*SPREAD)
    names = [row.model.name for row in found.rows]
    assert names[0] == "A"
    assert found.together[-1][1] == 4
    assert all(not {"A", "B"} <= set(names[first : last + 1]) for first, last in found.together)
