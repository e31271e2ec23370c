"""Cells of any type and days in any format are judged on a cluster as at home."""

from __future__ import annotations

import math
from datetime import UTC, date, datetime, timedelta
from typing import TYPE_CHECKING

import duckdb
import pyarrow as pa
import pyarrow.parquet as pq
from stores_apart import apart
from tiny_stores import put

from reliability.loaders.load import load
from reliability.loaders.mapping import read_mapping
from reliability.loaders.store import open_store

if TYPE_CHECKING:
    from pathlib import Path

    from pyspark.sql import SparkSession

    from reliability.loaders.reading import Loaded


def typed_columns() -> dict[str, pa.Array]:
    """Cells as programs write them, and as nobody should: moments, whole numbers, no numbers, spaces, odd numbers."""
    first = datetime(2026, 2, 1, 23, 59, tzinfo=UTC)
    days = 10
    return {
        "taken": pa.array(
            [first + timedelta(days=number) for number in range(days)], pa.timestamp("us", "UTC")
        ),
        "serial": pa.array([7] * days, pa.int64()),
        "model": pa.array(["\u00a0TARN T18\t", "TARN T18", "TARN\x01", " ", None, *["TARN T18"] * 5]),
        "state": pa.array([0, 0, 0, 0, 0, 0, 1, None, 2, 0], pa.int32()),
        "hours": pa.array([1.0, math.nan, 3.0, 4.0, 5.0, math.inf, 7.0, None, 9.0, 10.0]),
        "temperature_c": pa.array([20, 30, 40, None, 20, 30, 40, 20, 20, 30], pa.uint8()),
        "bytes_written": pa.array([1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 7.0, 8.0, 9.0, math.inf]),
        "media_errors": pa.array(["1", " +2 ", "1d", "1e3", "0x1p3", "1_000", ".5", "5.", "nan", ""]),
    }


ODD_DAYS = [
    " 2026-02-01",
    "2026-2-1\t",
    "-2026-02-01",
    "0026-02-01",
    "0999-12-31",
    "2999-01-01",
    "epoch",
    "",
    None,
    "x",
]


def counts_of(loaded: Loaded) -> tuple[int, ...]:
    return loaded.files, loaded.rows_kept, loaded.rows_rejected, loaded.duplicate_rows


MAPPING = """
[columns]
date = "taken"
power_on_hours = { column = "hours", scale = 0.5 }
[failed]
column = "state"
values = [1]
"""


def test_columns_of_any_type_are_judged_as_at_home(session: SparkSession, tmp_path: Path) -> None:
    source = tmp_path / "odd[1]names"
    put(source / "mapping.toml", MAPPING)
    columns = typed_columns()
    pq.write_table(pa.table(columns), source / "all[a]columns.parquet")
    pq.write_table(pa.table({**columns, "hours": columns["media_errors"]}), source / "hours_as_text.parquet")
    pq.write_table(
        pa.table({**columns, "serial": pa.array([True] * 10)}).drop(["model"]), source / "no_model.parquet"
    )
    pq.write_table(pa.table(columns).slice(0, 0), source / "empty.parquet")
    pq.write_table(pa.table({**columns, "taken": pa.array(ODD_DAYS)}), source / "days_as_text.parquet")
    put(source / "broken.parquet", b"PAR1 and no more")
    mapping = read_mapping(source / "mapping.toml")
    named = [str(path) for path in sorted(source.glob("*.parquet"))]
    at_home = load(named, tmp_path / "home", mapping=mapping)
    given = str(source).replace("[", "\\[").replace("]", "\\]")  # a path of Spark is a pattern
    away = load([given], tmp_path / "away", mapping=mapping, spark=session)
    assert len(away.set_aside) == len(at_home.set_aside) == 3
    assert counts_of(away) == counts_of(at_home)
    assert apart(tmp_path / "home", tmp_path / "away") == []


def test_the_day_in_the_name_of_a_file_is_read(session: SparkSession, tmp_path: Path) -> None:
    mapping = read_mapping(put(tmp_path / "mapping.toml", '[columns]\ndate = { file_name = "%Y%m%d" }\n'))
    for number in (1, 2, 3):
        path = put(tmp_path / "snapshots" / f"day-2026030{number}.parquet", b"")
        pq.write_table(pa.table({"serial": ["A", "B"], "model": ["M", "M"]}), path)
    load([str(tmp_path / "snapshots")], tmp_path / "home", mapping=mapping)
    load([str(tmp_path / "snapshots")], tmp_path / "away", mapping=mapping, spark=session)
    assert open_store(tmp_path / "away").last_day == date(2026, 3, 3)
    assert apart(tmp_path / "home", tmp_path / "away") == []


FORMATS = (
    "%Y-%m-%d",
    "%d.%m.%Y",
    "%-d.%-m.%Y",
    "%Y%m%d",
    "%d %b %Y",
    "%B %d, %Y",
    "%m/%d/%y",
    "%Y/%j",
    "%Y-%m-%d %H:%M:%S",
    "%Y-%m-%dT%H:%M:%S",
)
WRITTEN = (
    *(
        "2026-02-01",
        "2026-2-1",
        "2026-02-30",
        "2026-13-01",
        "2026-00-10",
        "02026-02-01",
        "2026-02-01x",
        "x",
        "",
    ),
    *(
        "1.2.2026",
        "01.02.2026",
        "31.02.2026",
        "29.02.2024",
        "20260201",
        "202602011",
        "1 Feb 2026",
        "01 FEB 2026",
    ),
    *(
        "February 1, 2026",
        "Feb 01, 2026",
        "2/1/26",
        "02/01/26",
        "02/01/2026",
        "2026/032",
        "2026/32",
        "2026/366",
    ),
    *("2026-02-01 03:04:05", "2026-02-01 3:4:5", "2026-02-01 24:00:00", "2026-02-01T03:04:05"),
)


def test_days_are_read_in_every_format_as_at_home(session: SparkSession) -> None:
    from pyspark.sql import functions as sql  # noqa: PLC0415  (only where it is installed)

    from reliability.loaders.cluster.day_format import as_spark_writes  # noqa: PLC0415  (its folder knows PySpark)
    from reliability.loaders.cluster.engine import Cluster  # noqa: PLC0415  (the same)

    texts = Cluster(session).session.createDataFrame(pa.table({"text": WRITTEN}))
    read = [sql.try_to_timestamp("text", sql.lit(as_spark_writes(form))).cast("date") for form in FORMATS]
    away = {text: days for text, *days in texts.select("text", *read).collect()}
    with duckdb.connect() as engine:
        ask = "select try_cast(try_strptime($text, $form) as date)"
        at_home = {
            text: [engine.execute(ask, {"text": text, "form": form}).fetchall()[0][0] for form in FORMATS]
            for text in WRITTEN
        }
    assert away == at_home
    assert all(any(days[place] for days in away.values()) for place in range(len(FORMATS)))
