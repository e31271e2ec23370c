"""Rules of reading come back from the manifest as they were kept, or are refused in one sentence."""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING, Any

import attrs
import pytest
from hypothesis import given
from hypothesis import strategies as st

from reliability.errors import StoreError
from reliability.loaders.kept_rules import as_kept, kept_rules
from reliability.loaders.mapping import (
    ColumnRule,
    ExtraRule,
    FailedRule,
    FileRule,
    Mapping,
    RetiredRule,
)

if TYPE_CHECKING:
    from collections.abc import Callable

FLEET = Path("fleet")
RULES = Mapping(
    columns={
        "date": ColumnRule("taken", format="%d.%m.%Y"),
        "power_on_hours": ColumnRule("hours", scale=0.5),
    },
    failed=FailedRule("state", ["1"]),
    models={"TARN T18": ["T18"]},
)
DIGEST = RULES.rules_digest
words = st.lists(st.text(), max_size=3)
few = st.one_of(st.none(), st.text(max_size=5))
columns = st.builds(ColumnRule, few, few, st.none() | st.floats(allow_nan=False), few)
mappings = st.builds(
    Mapping,
    file=st.builds(FileRule, st.text(max_size=1), st.text(max_size=5)),
    columns=st.dictionaries(st.text(max_size=5), columns, max_size=3),
    failed=st.none() | st.builds(FailedRule, st.text(), st.none() | words),
    models=st.dictionaries(st.text(), words, max_size=2),
    retired=st.builds(RetiredRule, words, words),
    extra=st.builds(ExtraRule, words),
)
anything = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(), inner, max_size=3),
)


def back_from_json(mapping: Mapping) -> Any:  # noqa: ANN401  (whatever JSON holds)
    return json.loads(json.dumps(as_kept(mapping)))


@given(mappings)
def test_what_json_keeps_comes_back_but_for_what_is_applied_later(mapping: Mapping) -> None:
    digest = mapping.rules_digest
    found = kept_rules(FLEET, {digest: back_from_json(mapping)}, [digest])
    assert found == {digest: attrs.evolve(mapping, models={}, retired=RetiredRule())}


BROKEN: dict[str, Callable[[Any], object]] = {
    "another column": lambda kept: kept["columns"]["power_on_hours"].update(column="age"),
    "another scale": lambda kept: kept["columns"]["power_on_hours"].update(scale=2.0),
    "a scale that is no number": lambda kept: kept["columns"]["power_on_hours"].update(scale="half"),
    "a name for a rule": lambda kept: kept["columns"].update(date="taken"),
    "no columns": lambda kept: kept.pop("columns"),
    "columns in a row": lambda kept: kept.update(columns=["taken", "hours"]),
    "no column that failed": lambda kept: kept["failed"].pop("column"),
    "values that are a number": lambda kept: kept["failed"].update(values=1),
    "nothing": lambda kept: kept.clear(),
}


@pytest.mark.parametrize("case", BROKEN)
def test_rules_that_somebody_changed_are_told_with_their_place_and_the_way_out(case: str) -> None:
    kept = back_from_json(RULES)
    assert kept_rules(FLEET, {DIGEST: kept}, [DIGEST])[DIGEST].columns == RULES.columns
    BROKEN[case](kept)
    with pytest.raises(StoreError) as told:
        kept_rules(FLEET, {DIGEST: kept}, [DIGEST])
    assert str(told.value) == (
        "The store in fleet cannot be read: manifest.json: not the rules that files were read by @ "
        f"$.read_in_place['{DIGEST}']. Restore it, or load anew into another folder."
    )


@given(st.dictionaries(st.sampled_from([*as_kept(RULES), "other"]), anything))
def test_whatever_else_stands_there_is_refused(table: dict[str, object]) -> None:
    with pytest.raises(StoreError, match=r"not the rules .* load anew into another folder\.$"):
        kept_rules(FLEET, {DIGEST: table}, [])


def test_rules_that_are_gone_are_told_by_their_digest() -> None:
    with pytest.raises(
        StoreError, match=rf"manifest\.json: missing @ \$\.read_in_place\['{DIGEST}'\]\. Restore it"
    ):
        kept_rules(FLEET, {"other": {}}, [DIGEST])
