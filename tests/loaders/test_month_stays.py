"""Stays made of whole columns are those that the query makes, column by column."""

from __future__ import annotations

from datetime import date
from itertools import groupby
from typing import TYPE_CHECKING

import pyarrow as pa
import pyarrow.compute as pc
import pyarrow.parquet as pq
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st

from reliability.loaders.columns import COUNTERS, NAMES
from reliability.loaders.engine import Engine
from reliability.loaders.merged_stays import TEXTS, merged
from reliability.loaders.month_stays import stays_of
from reliability.loaders.order import in_order, months_of, pieces_of
from reliability.loaders.parts import TYPES
from reliability.loaders.stay_columns import LIFETIME_BYTES, SCHEMA

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    import pytest

COUNTS = st.one_of(st.none(), st.sampled_from((0.0, 0.0, 1.0, 2.5)))
VALUES = {
    "failed": st.booleans(),
    "capacity_tb": st.sampled_from((None, 8.0, 16.0)),
    "power_on_hours": st.sampled_from((None, 0.0, -1.0, 24.0, 24.5, 131_400.0, 131_401.0, float("inf"))),
    "temperature_c": st.sampled_from((None, -3.0, 0.0, 31.0, 35.5)),
    **dict.fromkeys((*LIFETIME_BYTES, *COUNTERS), COUNTS),
    "site": st.sampled_from((None, "hall 1", "hall 2")),
    "rack": st.sampled_from((None, "r1", "r2")),
    "batch": st.sampled_from((None, "b1")),
}


@st.composite
def months(draw: st.DrawFn) -> pa.Table:
    """Rows of one month, at most one a drive and day, of which some columns are not there."""
    asked = st.tuples(st.sampled_from("ABC"), st.sampled_from(("T18", "T19")), st.integers(1, 31))
    keys = draw(st.lists(asked, min_size=1, max_size=25, unique=True))
    there = [name for name in VALUES if name == "failed" or draw(st.booleans())]
    rows = [
        {"date": date(2025, 3, day), "serial": serial, "model": model} | {n: draw(VALUES[n]) for n in there}
        for serial, model, day in keys
    ]
    return pa.Table.from_pylist(rows, pa.schema({n: TYPES.get(n, pa.string()) for n in rows[0]}))


def by_query(rows: pa.Table, folder: Path) -> pa.Table:
    """The stays that the query makes of the same rows, with the columns that are not there empty."""
    empty = {
        n: pa.nulls(rows.num_rows, TYPES.get(n, pa.string())) for n in NAMES if n not in rows.column_names
    }
    pq.write_table(
        pa.table({**{name: rows[name] for name in rows.column_names}, **empty}), folder / "rows.parquet"
    )
    engine = Engine()
    engine.view("snapshot_rows", [folder / "rows.parquet"])
    engine.define("snapshots")
    engine.make("stays")
    engine.write("stays", folder / "stays.parquet")
    engine.close()
    return pq.read_table(folder / "stays.parquet")


def in_dictionaries(rows: pa.Table, names: Sequence[str]) -> pa.Table:
    for name in names:
        rows = rows.set_column(rows.column_names.index(name), name, rows[name].dictionary_encode())
    return rows


def by_columns(rows: pa.Table) -> pa.Table:
    """The stays that are made while rows are at hand."""
    texts = [name for name in rows.column_names if name not in TYPES]
    ordered = in_order(in_dictionaries(rows, texts))
    return pa.concat_tables(map(stays_of, pieces_of(ordered, 4)))


def columns_of(stays: pa.Table) -> dict[str, pa.Array]:
    """The columns of stays as they are merged: each in one piece, texts in dictionaries."""
    coded = in_dictionaries(stays.combine_chunks(), TEXTS)
    return {name: coded[name].combine_chunks() for name in coded.column_names}


def in_words(stays: pa.Table) -> list[str]:
    return sorted(map(str, stays.to_pylist()))


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(months())
@example(
    pa.table(
        {
            "date": pa.array([date(2025, 3, 31), date(2025, 3, 2), date(2025, 3, 9)]),
            "serial": ["A", "A", "A"],
            "model": ["T18"] * 3,
            "failed": [False, False, True],
            "power_on_hours": pa.array([None, 0.0, 0.0], pa.float64()),  # the highest first on the 2nd
        }
    )
)
def test_stays_are_those_of_the_query(tmp_path_factory: pytest.TempPathFactory, rows: pa.Table) -> None:
    right = by_query(rows, tmp_path_factory.mktemp("stays"))
    made = by_columns(rows)
    assert in_words(made) == in_words(right)
    assert [(field.name, field.type) for field in right.schema] == [
        (field.name, field.type) for field in SCHEMA
    ]
    assert made.schema == SCHEMA


ROWS = st.tuples(
    st.sampled_from((date(1970, 1, 1), date(2025, 2, 28), date(2025, 3, 1), date(2025, 3, 2))),
    st.sampled_from("CAB"),
    st.sampled_from(("T18", "T19")),
    st.sampled_from((None, "hall 1", "hall 2")),
)


@given(st.lists(ROWS, min_size=1, max_size=40))
def test_rows_of_a_month_a_drive_and_a_site_are_neighbours_by_their_days_and_else_as_they_came(
    rows: list[tuple[date, str, str, str | None]],
) -> None:
    days, *texts = zip(*rows, strict=True)
    coded = [pa.array(text, pa.string()).dictionary_encode() for text in texts]
    table = pa.table([pa.array(days), *coded, range(len(rows))], ["date", "serial", "model", "site", "row"])
    ordered = [
        (month, tuple(row.values())) for month, part in months_of(in_order(table)) for row in part.to_pylist()
    ]
    assert sorted(row[-1] for _, row in ordered) == list(range(len(rows)))
    assert all(str(row[0]).startswith(month) for month, row in ordered)
    stays = [list(stay) for _, stay in groupby(ordered, lambda each: (each[0], *each[1][1:4]))]
    assert len(stays) == len({(day.replace(day=1), *names) for day, *names in rows})
    assert all(stay == sorted(stay, key=lambda each: (each[1][0], each[1][-1])) for stay in stays)
    assert [month for month, _ in ordered] == sorted(month for month, _ in ordered)


@settings(max_examples=60, deadline=None)
@given(months(), st.lists(st.integers(0, 2), min_size=25, max_size=25))
def test_merged_summaries_are_the_stays_of_all_rows_at_once(rows: pa.Table, groups: list[int]) -> None:
    group = pa.array(groups[: rows.num_rows])
    parts = [rows.filter(pc.equal(group, number)) for number in range(3)]
    summaries = pa.concat_tables(by_columns(part) for part in parts if part.num_rows)
    made = merged(columns_of(summaries))
    assert made.schema == SCHEMA
    assert in_words(made) == in_words(by_columns(rows))


def test_summaries_with_a_day_in_common_show_it_as_more_rows_than_days() -> None:
    rows = pa.table(
        {
            "date": pa.array([date(2025, 3, 2), date(2025, 3, 5)]),
            "serial": ["A", "A"],
            "model": ["T18"] * 2,
            "failed": [False] * 2,
        }
    )
    twice = pa.concat_tables([by_columns(rows), by_columns(rows.slice(0, 1))])
    [stay] = merged(columns_of(twice)).to_pylist()
    assert (stay["days"], stay["rows"]) == (0b10010, 3)
