"""Estimates keep the laws that docs/validation.md names, whatever the fleet."""

from __future__ import annotations

import ast
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from validation.laws.estimators import ESTIMATORS
from validation.laws.laws import LAWS, Law

if TYPE_CHECKING:
    from validation.laws.said import Estimator, Groups

from reliability.lives import OUTCOMES

a_life = st.tuples(st.integers(0, 30), st.integers(1, 40), st.sampled_from(OUTCOMES)).map(
    lambda life: (float(life[0]), float(life[0] + life[1]), life[2])
)
a_group = st.lists(a_life, min_size=2, max_size=8)
five_groups = st.lists(a_group, min_size=5, max_size=5)
CASES = [
    pytest.param(each, law, id=f"{each.name}, {law.name}")
    for each in ESTIMATORS
    for law in LAWS
    if law.name in each.laws
]


@pytest.mark.parametrize(("estimator", "law"), CASES)
@given(groups=five_groups)
@settings(max_examples=8)
def test_the_law_holds(estimator: Estimator, law: Law, groups: Groups) -> None:
    before = estimator.says(groups, 1.0)
    after = estimator.says(law.changed(groups), law.unit)
    assert len(before) == len(after)
    for one, other in zip(before, after, strict=True):
        factor = law.factor(one)
        if factor is None:
            continue
        assert (one.value is None) == (other.value is None)
        if one.value is not None:
            assert other.value == pytest.approx(one.value * factor, rel=1e-6, abs=1e-9)


def test_a_law_that_an_estimator_is_said_not_to_keep_is_broken() -> None:
    """The negative control, on one plain fleet."""
    fleet: Groups = [
        [
            (0, 5, "failed"),
            (0, 25, "failed"),
            (3, 45, "in service"),
            (0, 60 + shift, "failed"),
            (9, 70, "failed"),
        ]
        for shift in range(5)
    ]
    fleet[0] += [(0, 4, "failed"), (0, 22, "failed")]
    for each in ESTIMATORS:
        for law in LAWS:
            if law.name in each.laws:
                continue
            before, after = (
                [number.value for number in each.says(groups, unit) if number.value is not None]
                for groups, unit in ((fleet, 1.0), (law.changed(fleet), law.unit))
            )
            assert before != pytest.approx(after, rel=1e-6), (each.name, law.name)


@pytest.mark.parametrize("estimator", ESTIMATORS, ids=lambda each: each.name)
def test_the_plain_twin_is_a_test(estimator: Estimator) -> None:
    file, _, name = estimator.twin.partition("::")
    tree = ast.parse((Path(__file__).parent / file).read_text(encoding="utf-8"))
    assert name in {node.name for node in tree.body if isinstance(node, ast.FunctionDef)}
