"""The store made on a cluster is that of the embedded engine, every table of it."""

from __future__ import annotations

import shutil
from dataclasses import asdict, replace
from typing import TYPE_CHECKING

import pytest
from against_twin import accounts_apart
from stores_apart import apart

from reliability.loaders import reduce
from reliability.loaders.engine import Engine
from reliability.loaders.manifest import commit, read_manifest
from reliability.loaders.store import open_store
from reliability.loaders.workplace import Workplace

if TYPE_CHECKING:
    from pathlib import Path

    from parquet_fleet import ParquetFleet
    from pyspark.sql import SparkSession
    from spark_engine import SparkEngine


def test_a_dirty_fleet_has_the_store_that_the_embedded_engine_makes(
    session: SparkSession, sources: ParquetFleet
) -> None:
    loaded = sources.load("at once", sources.paths, session)
    at_home, at_once = sources.folder / "at home", sources.folder / "at once"
    assert loaded.rows_read == loaded.rows_kept + loaded.rows_rejected + loaded.duplicate_rows
    assert min(loaded.rows_kept, loaded.rows_rejected, loaded.duplicate_rows) > 0
    accounts = [
        {**asdict(account), "name": account.name.removesuffix(".parquet")}
        for account in open_store(at_once).sources()
    ]
    assert accounts_apart(accounts, sources.fleet.truth()) == []
    assert apart(at_home, at_once) == []
    assert not (at_once / "snapshots").exists(), "they stay where they lie"
    assert sources.load("at once", sources.paths, session).files_unchanged == len(sources.paths)


def test_a_new_month_is_merged_as_if_all_had_come_at_once(
    session: SparkSession, sources: ParquetFleet, monkeypatch: pytest.MonkeyPatch
) -> None:
    # So few that stays come home in slices.
    monkeypatch.setattr("reliability.loaders.cluster.engine.SLICE_ROWS", 10)
    *months, last = sources.paths
    sources.load("by month", months, session)
    loaded = sources.load("by month", [*months, last], session)
    assert (loaded.files, loaded.files_unchanged) == (1, len(months))
    assert apart(sources.folder / "at home", sources.folder / "by month") == []


@pytest.fixture
def on_spark(session: SparkSession) -> SparkEngine:
    from spark_engine import SparkEngine  # noqa: PLC0415  (only where PySpark is installed)

    return SparkEngine(session)


def lives_made_by(engine: Engine, store: Path, folder: Path) -> Path:
    """Copy the stays of a store and have their lives made; the store with them."""
    shutil.copytree(store, folder)
    manifest = read_manifest(folder)
    place = Workplace(engine, folder, manifest.generation + 1)
    made, checkpoint = reduce.make_lives(place, replace(manifest, checkpoint=None), manifest.months)
    commit(folder, replace(manifest, tables=manifest.tables | made, checkpoint=checkpoint))
    return folder


def test_the_same_texts_make_the_same_lives_on_the_cluster(
    on_spark: SparkEngine, sources: ParquetFleet, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    at_home = sources.folder / "at home"
    on_cluster = lives_made_by(on_spark, at_home, tmp_path / "on the cluster")
    assert apart(at_home, on_cluster) == []
    # No longer the rule of the cluster: the comparison has to see it.
    monkeypatch.setattr(reduce, "BRIDGE_DAYS", 3)
    other = lives_made_by(Engine(), at_home, tmp_path / "by another rule")
    assert any(difference.startswith("lives, only in") for difference in apart(other, on_cluster))
