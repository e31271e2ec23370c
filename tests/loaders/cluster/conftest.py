"""What these tests share: a cluster of a master and two workers, and a dirty fleet to load on it."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from fleets import ALL_DIRT, Size, make_fleet
from numpy.random import default_rng
from parquet_fleet import ParquetFleet
from spark_cluster import SETTINGS, Processes, running_cluster, skip_without_spark
from tiny_stores import put

if TYPE_CHECKING:
    from collections.abc import Iterator

    from pyspark.sql import SparkSession

DIRT = {kind: amount for kind, amount in ALL_DIRT.items() if kind != "torn"}  # Parquet has no torn lines


def pytest_runtest_setup() -> None:
    skip_without_spark()  # here and in no fixture, so that all are told in the one line


@pytest.fixture(scope="package")
def cluster(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Processes]:
    with pytest.MonkeyPatch.context() as patch:
        folder = tmp_path_factory.mktemp("cluster")
        defaults = "".join(f"{name} {value}\n" for name, value in SETTINGS.items())
        patch.setenv("SPARK_CONF_DIR", str(put(folder / "conf" / "spark-defaults.conf", defaults).parent))
        patch.setenv("SPARK_LOCAL_IP", "127.0.0.1")
        with running_cluster(folder) as processes:
            yield processes


@pytest.fixture(scope="package")
def session(cluster: Processes) -> Iterator[SparkSession]:
    from pyspark.sql import SparkSession  # noqa: PLC0415  (only where it is installed)

    session = SparkSession.builder.master(cluster.master).appName("tests of driveyears").getOrCreate()
    yield session
    session.stop()


@pytest.fixture(scope="package")
def sources(tmp_path_factory: pytest.TempPathFactory) -> ParquetFleet:
    fleet = make_fleet(default_rng(5), Size(14, 70, 3, 3), period="month", dirt=DIRT)
    found = ParquetFleet(tmp_path_factory.mktemp("fleet"), fleet)
    found.load("at home", found.paths)
    return found
