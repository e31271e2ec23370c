"""Files of stays are merged in slices of drives to what they come to at once."""

from __future__ import annotations

import resource
from datetime import date
from pathlib import Path

import pyarrow as pa
import pyarrow.parquet as pq
import pytest

from reliability.loaders.merging import merge
from reliability.loaders.stay_columns import SCHEMA

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


def test_what_only_one_file_knows_and_another_engine_wrote_is_merged_as_well(tmp_path: Path) -> None:
    plain, other = stays(tmp_path / "one.parquet", 0), stays(tmp_path / "two.parquet", 12)
    told = pq.read_table(other)
    hours = pa.array([24.0] * told.num_rows)
    told = told.set_column(told.column_names.index("last_hours"), "last_hours", hours)
    told = told.set_column(told.column_names.index("last_hours_day"), "last_hours_day", told["month"])
    large = [pa.large_string() if kind == pa.string() else kind for kind in told.schema.types]
    pq.write_table(told.cast(pa.schema(list(zip(told.schema.names, large, strict=True)))), other)
    merged = pq.read_table(merge([plain, other], tmp_path / "merged" / "merged.parquet", 500))
    assert merged.schema == SCHEMA
    assert merged["last_hours"].to_pylist() == [24.0] * merged.num_rows
    assert set(merged["serial"].to_pylist()) == set(SERIALS)


def test_more_files_than_may_be_open_are_merged(tmp_path: Path) -> None:
    files = [stays(tmp_path / f"{number}.parquet", number % 20) for number in range(60)]
    at_once = merge(files, tmp_path / "at once" / "merged.parquet", 500)
    usual = resource.getrlimit(resource.RLIMIT_NOFILE)
    resource.setrlimit(resource.RLIMIT_NOFILE, (len(list(Path("/dev/fd").iterdir())) + 20, usual[1]))
    try:
        limited = merge(files, tmp_path / "limited" / "merged.parquet", 500)
    finally:
        resource.setrlimit(resource.RLIMIT_NOFILE, usual)
    assert found(limited) == found(at_once)


def test_a_single_file_is_taken_as_it_is(tmp_path: Path) -> None:
    file = stays(tmp_path / "one.parquet", 0)
    assert merge([file], tmp_path / "merged.parquet", 1) == file
    assert not (tmp_path / "merged.parquet").exists()
