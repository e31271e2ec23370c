"""Files of stays are merged in slices of drives to what they come to at once."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

import pyarrow as pa
import pyarrow.parquet as pq
import pytest

from reliability.loaders.merging import merge
from reliability.loaders.stay_columns import SCHEMA

if TYPE_CHECKING:
    from pathlib import Path

SERIALS = ["B", "A", "\u00c4", "C", "C", "A", "a", "\U0001f4be", "B", "C"]


def stays(path: Path, first: int) -> Path:
    """A file of one stay a serial number and model, each of one day; some serial numbers stand under two models."""
    named = [(serial, f"T{number % 2}", first + number) for number, serial in enumerate(SERIALS)]
    columns = {
        "serial": [serial for serial, _, _ in named],
        "model_read": [model for _, model, _ in named],
        "month": [date(2025, 3, 1)] * len(named),
        "days": pa.array([1 << day for _, _, day in named], pa.int32()),
        "rows": pa.array([1] * len(named), pa.int32()),
        "temperature_count": pa.array([0] * len(named), pa.int32()),
    }
    unknown = {
        name: pa.nulls(len(named), kind) for name, kind in zip(SCHEMA.names, SCHEMA.types, strict=True)
    }
    pq.write_table(pa.table({**unknown, **columns}).cast(SCHEMA), path)
    return path


def found(file: Path) -> list[str]:
    return sorted(map(str, pq.read_table(file).to_pylist()))


@pytest.mark.parametrize("rows_at_once", [1, 2, 4, 9])
def test_slices_come_to_what_all_come_to_at_once(tmp_path: Path, rows_at_once: int) -> None:
    files = [stays(tmp_path / "one.parquet", 0), stays(tmp_path / "two.parquet", 12)]
    at_once = merge(files, tmp_path / "at once" / "merged.parquet", 500)
    in_slices = merge(files, tmp_path / "in slices" / "merged.parquet", rows_at_once)
    assert pq.read_metadata(in_slices).num_row_groups > 1 == pq.read_metadata(at_once).num_row_groups
    assert found(in_slices) == found(at_once)
    assert pq.read_metadata(at_once).num_rows == len({(s, n % 2) for n, s in enumerate(SERIALS)})


def test_a_file_with_one_group_of_rows_is_taken_as_it_is(tmp_path: Path) -> None:
    file = stays(tmp_path / "one.parquet", 0)
    assert merge([file], tmp_path / "merged.parquet", 1) == file
    assert not (tmp_path / "merged.parquet").exists()
