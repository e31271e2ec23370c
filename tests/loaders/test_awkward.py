"""Awkward drives are found in the stays as in the rows that these were made of."""

from __future__ import annotations

from datetime import date, timedelta
from typing import TYPE_CHECKING, NamedTuple

import pyarrow as pa
from hypothesis import example, given, settings
from hypothesis import strategies as st

from reliability.loaders import awkward
from reliability.loaders.awkward import ASKED, awkward_serials
from reliability.loaders.month_stays import stays_of
from reliability.loaders.order import in_order

if TYPE_CHECKING:
    import pytest

KEY_OF = {"T18": "TARN T18", "TARN T18": "TARN T18", "T19": "T19"}


class Row(NamedTuple):
    serial: str
    model: str
    site: str | None
    day: int
    failed: str  # a word, for a file has words


ROWS = st.builds(
    Row,
    st.sampled_from("ABC"),
    st.sampled_from(tuple(KEY_OF)),
    st.sampled_from((None, "hall 1")),
    st.integers(1, 31),
    st.sampled_from(("", "", "yes")),
)


def awkward_by_definition(rows: list[Row]) -> list[str]:
    """Row by row: a serial number and model as read with two rows of a day, or a drive with a row after its failure."""
    found = set()
    for one in rows:
        others = [row for row in rows if row.serial == one.serial]
        if sum((row.model, row.day) == (one.model, one.day) for row in others) > 1:
            found.add(one.serial)
        same = [row for row in others if KEY_OF[row.model] == KEY_OF[one.model]]
        if one.failed and any(row.day > one.day for row in same):
            found.add(one.serial)
    return sorted(found)


def stays(rows: list[Row]) -> pa.Table:
    columns = {
        "date": pa.array([date(2025, 3, 1) + timedelta(days=row.day - 1) for row in rows]),
        "serial": pa.array([row.serial for row in rows]).dictionary_encode(),
        "model": pa.array([row.model for row in rows]).dictionary_encode(),
        "site": pa.array([row.site for row in rows], pa.string()).dictionary_encode(),
        "failed": pa.array([row.failed == "yes" for row in rows]),
    }
    return stays_of(in_order(pa.table(columns))).select(ASKED)


@settings(max_examples=200, deadline=None)
@given(st.lists(ROWS, min_size=1, max_size=12))
@example([Row("A", "T19", None, 31, "yes")])  # nothing can follow the last day
@example([Row("A", "T19", None, day, "") for day in range(1, 32)])
@example([Row("A", "T19", None, 3, "yes"), Row("A", "T18", None, 4, "")])  # another model: another drive
@example([Row("A", "T18", None, 3, "yes"), Row("A", "TARN T18", None, 4, "")])
@example([Row("A", "T19", None, 3, ""), Row("A", "T19", "hall 1", 3, "")])
def test_awkward_drives_are_those_of_the_definition(rows: list[Row]) -> None:
    assert awkward_serials(stays(rows), KEY_OF) == awkward_by_definition(rows)


def test_drives_with_several_stays_and_nothing_odd_are_not_looked_at_one_by_one(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    rows = [Row(serial, "T19", site, day, "") for serial in "ABC" for day, site in ((3, None), (4, "hall 1"))]
    monkeypatch.setattr(awkward, "_Days", None)  # nothing is to be gathered
    assert awkward_serials(stays(rows), KEY_OF) == []
