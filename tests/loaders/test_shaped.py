"""Values of a type from JSON, and where the first one is that is of another."""

from __future__ import annotations

import json
import re
from dataclasses import asdict, dataclass, field

import pytest
from hypothesis import given
from hypothesis import strategies as st

from reliability.loaders.manifest import Manifest
from reliability.loaders.shaped import MisshapenError, reader


@dataclass(frozen=True)
class Leaf:
    name: str
    share: float = 0.5
    days: list[int] | None = None


@dataclass(frozen=True)
class Tree:
    leaves: dict[str, Leaf]
    first: Leaf | None = None
    words: dict[str, list[str]] = field(default_factory=dict)


leaves = st.builds(Leaf, share=st.floats(allow_nan=False))
trees = st.builds(Tree, leaves=st.dictionaries(st.text(), leaves), first=st.none() | leaves)


@given(trees)
def test_what_json_keeps_comes_back(tree: Tree) -> None:
    assert reader(Tree)(json.loads(json.dumps(asdict(tree)))) == tree


def test_what_is_left_out_is_as_by_default_and_what_is_unknown_is_passed_over() -> None:
    assert reader(Tree)({"leaves": {"a": {"name": "b", "colour": 3}}}) == Tree({"a": Leaf("b")})


@pytest.mark.parametrize(
    ("table", "fault"),
    [
        ([], "unexpected [] @ $"),
        ({}, "leaves missing @ $"),
        ({"leaves": 5}, "unexpected 5 @ $.leaves"),
        ({"leaves": {"a": {"share": 1}}}, "name missing @ $.leaves['a']"),
        ({"leaves": {"a": {"name": None}}}, "unexpected None @ $.leaves['a'].name"),
        ({"leaves": {}, "first": {"name": "b", "days": ["c"]}}, "unexpected 'c' @ $.first.days"),
        ({"leaves": {}, "words": {"a": "b"}}, "unexpected 'b' @ $.words['a']"),
    ],
)
def test_a_value_of_another_type_is_told_with_its_place(table: object, fault: str) -> None:
    with pytest.raises(MisshapenError, match=f"^{re.escape(fault)}$"):
        reader(Tree)(table)


def test_no_table_gives_the_manifest_of_an_empty_store() -> None:
    assert reader(Manifest)({}) == Manifest()
