"""A pile of stays is merged when it has grown, as seldom as can be, and comes to what its stays come to at once."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

import pyarrow as pa
import pyarrow.parquet as pq
import pytest

from reliability.loaders import pile
from reliability.loaders.merging import STAYS_A_ROW, merge
from reliability.loaders.pile import Pile
from reliability.loaders.stay_columns import SCHEMA

if TYPE_CHECKING:
    from pathlib import Path


def stays(day: int, drives: int) -> pa.Table:
    """One day of so many drives."""
    known = {
        "serial": pa.array([f"S{number}" for number in range(drives)]),
        "model_read": pa.array(["T18"] * drives),
        "month": pa.array([date(2025, 3, 1)] * drives),
        "days": pa.array([1 << day] * drives, pa.int32()),
        "rows": pa.array([1] * drives, pa.int32()),
        "temperature_count": pa.array([0] * drives, pa.int32()),
        "last_hours": pa.array([24.0 * day] * drives),
        "last_hours_day": pa.array([date(2025, 3, day + 1)] * drives),
    }
    return pa.table([known.get(field.name, pa.nulls(drives, field.type)) for field in SCHEMA], schema=SCHEMA)


def found(files: list[Path]) -> list[str]:
    return sorted(str(row) for file in files for row in pq.read_table(file).to_pylist())


def piled(folder: Path, rows_at_once: int, days: int = 31, drives: int = 10) -> Pile:
    made = Pile(folder, "2025-03", rows_at_once)
    for day in range(days):
        made.add(stays(day, drives))
    return made


@pytest.mark.parametrize("rows_at_once", [1, 7, 20, 1000])
def test_a_pile_comes_to_what_its_stays_come_to_at_once(tmp_path: Path, rows_at_once: int) -> None:
    high = piled(tmp_path / "high", 1000)
    assert len(high.files) == 31
    right = merge(high.files, tmp_path / "right.parquet", 1000)
    made = piled(tmp_path / "made", rows_at_once)
    assert found([merge(made.files, tmp_path / "merged.parquet", 1000)]) == found([right])
    assert {file.name for file in (tmp_path / "made").iterdir()} == {file.name for file in made.files}


def test_a_pile_is_never_much_higher_than_memory_has_room_for(tmp_path: Path) -> None:
    made = Pile(tmp_path, "2025-03", 20)
    for day in range(31):
        made.add(stays(day, 10))
        assert sum(pq.read_metadata(file).num_rows for file in made.files) <= STAYS_A_ROW * 20


def test_a_pile_that_cannot_shrink_below_that_is_merged_only_when_it_has_doubled(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    merged = []

    def noted(files: list[Path], file: Path, rows_at_once: int) -> Path:
        merged.append(len(files))
        return merge(files, file, rows_at_once)

    monkeypatch.setattr(pile, "merge", noted)
    made = piled(tmp_path, 1, days=9)
    assert merged == [1, 3, 3, 3, 3]  # the first is large already; then at every second
    assert sum(pq.read_metadata(file).num_rows for file in made.files) == 10


def test_files_taken_over_are_the_piles(tmp_path: Path) -> None:
    one, two = piled(tmp_path / "one", 1000, days=2), piled(tmp_path / "two", 6, days=1)
    two.take(one.files)
    assert [file.parent.name for file in two.files] == ["two"]
    assert not any((tmp_path / "one").iterdir())
    assert [row["days"] for row in pq.read_table(two.files[0]).to_pylist()] == [0b11] * 10
