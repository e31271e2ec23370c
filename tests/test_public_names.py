"""The public names: one list, all of it there, all of it documented."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest
from fresh_python import fresh_python

import reliability

ROOT = Path(__file__).parents[1]
PAGE = (ROOT / "docs" / "python.md").read_text(encoding="utf-8")


def test_the_list_is_sorted_and_is_what_the_package_shows() -> None:
    assert reliability.__all__ == sorted(reliability.__all__)
    assert dir(reliability) == reliability.__all__


def test_a_type_checker_is_told_the_same_names() -> None:
    tree = ast.parse((ROOT / "reliability" / "__init__.py").read_text(encoding="utf-8"))
    told = {
        alias.asname or alias.name
        for node in tree.body
        if isinstance(node, ast.If)
        for inner in node.body
        if isinstance(inner, ast.ImportFrom)
        for alias in inner.names
    }
    assert told == set(reliability.__all__)


@pytest.mark.parametrize("name", reliability.__all__)
def test_each_name_is_there_and_explained(name: str) -> None:
    assert getattr(reliability, name).__doc__


@pytest.mark.parametrize("name", reliability.__all__)
def test_each_name_stands_in_the_documents(name: str) -> None:
    assert f"| `{name}" in PAGE


def test_any_other_name_is_refused_with_those_there_are() -> None:
    with pytest.raises(AttributeError, match=r"no name 'Rates'; its names are .*Rate"):
        _ = reliability.Rates


def test_a_function_stands_before_the_module_of_its_name_whoever_loads_that() -> None:
    load = "import reliability as rel, reliability.risk_table"
    code = f"{load}; print(rel.risk_table([0], [1], ['failed']).lives)"
    assert fresh_python("-c", code).strip() == "1"
