"""Stays of parts that lie in the store: what has no value is not read, and what another version wrote still is."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pyarrow.parquet as pq
import pytest
from tiny_stores import csv_of, put, rows

from reliability.loaders.columns import NAMES
from reliability.loaders.load import load
from reliability.loaders.month_stays import stays_of
from reliability.loaders.narrow import joined
from reliability.loaders.order import in_order
from reliability.loaders.stored_rows import rows_of

if TYPE_CHECKING:
    from pathlib import Path

HOURS = {number: str(24 * number) for number in range(31)}


@pytest.fixture
def parts(tmp_path: Path) -> list[Path]:
    """Two parts of one month, with different columns."""
    put(tmp_path / "a.csv", csv_of(rows("A", range(31), power_on_hours=HOURS), rows("B", range(9))))
    put(tmp_path / "b.csv", csv_of(rows("A", range(31), site="hall 2", pending_sectors="3")))
    load([str(tmp_path / "a.csv"), str(tmp_path / "b.csv")], tmp_path / "store")
    return sorted((tmp_path / "store" / "snapshots").rglob("*.parquet"))


def stays(parts: list[Path], rows_at_once: int) -> list[str]:
    turns = rows_of(parts, rows_at_once)
    return sorted(str(stay) for tables in turns for stay in stays_of(in_order(joined(tables))).to_pylist())


@pytest.mark.parametrize("rows_at_once", [1, 7, 1000])
def test_rows_come_a_few_at_a_time_and_all_of_them(parts: list[Path], rows_at_once: int) -> None:
    for part in parts:
        pq.write_table(pq.ParquetFile(part).read(), part, row_group_size=5)
    turns = list(rows_of(parts, rows_at_once))
    assert sum(table.num_rows for tables in turns for table in tables) == 31 + 9 + 31
    assert len(turns) == {1: 15, 7: 6, 1000: 1}[rows_at_once]
    assert all(table.num_rows < rows_at_once + 5 for tables in turns for table in tables)


def columns_read(parts: list[Path], monkeypatch: pytest.MonkeyPatch) -> list[set[str]]:
    found = []
    read = pq.ParquetFile.read_row_groups

    def noted(file: pq.ParquetFile, groups: list[int], columns: list[str]) -> object:
        found.append(set(columns))
        return read(file, groups, columns)

    monkeypatch.setattr(pq.ParquetFile, "read_row_groups", noted)
    stays(parts, 1000)
    monkeypatch.undo()
    return found


def test_only_columns_with_values_are_read(parts: list[Path], monkeypatch: pytest.MonkeyPatch) -> None:
    always = {"date", "serial", "model", "failed"}
    assert columns_read(parts, monkeypatch) == [
        always | {"power_on_hours"},
        always | {"site", "pending_sectors"},
    ]


def test_parts_that_do_not_tell_what_is_empty_come_to_the_same_stays(
    parts: list[Path], monkeypatch: pytest.MonkeyPatch
) -> None:
    told = stays(parts, 1000)
    for part in parts:
        table = pq.ParquetFile(part).read()
        pq.write_table(table, part, write_statistics=False)
    assert columns_read(parts, monkeypatch) == [set(NAMES), set(NAMES)]
    assert stays(parts, 1000) == told
