"""A worker that dies in mid-job costs time, and nothing else."""

from __future__ import annotations

import threading
import time
from typing import TYPE_CHECKING

import numpy as np
import pyarrow as pa
import pyarrow.parquet as pq
from numpy.random import default_rng
from spark_cluster import Processes, kill
from stores_apart import apart
from tiny_stores import put

from reliability.loaders.load import load
from reliability.loaders.progress import Silent

if TYPE_CHECKING:
    from pathlib import Path

    from pyspark.sql import SparkSession

BUSY_ROWS = 400_000


def test_a_worker_that_dies_in_mid_job_changes_nothing(
    session: SparkSession, cluster: Processes, tmp_path: Path
) -> None:
    rng = default_rng(3)
    drives = np.repeat(np.arange(BUSY_ROWS // 28), 28)
    days = np.tile(np.arange(28), BUSY_ROWS // 28)
    dates = (np.datetime64("2026-02-01") + days).astype("datetime64[D]")
    columns = {
        "date": dates,
        "serial": np.char.add("D", drives.astype(str)),
        "model": np.full(len(days), "TARN T18"),
    }
    table = pa.table(
        {**columns, "power_on_hours": 24.0 * days, "media_errors": rng.poisson(0.1, len(days)) * 1.0}
    )
    for number in range(8):
        path = put(tmp_path / "in" / f"{number}.parquet", b"")
        pq.write_table(table.take(np.arange(number, len(days), 8)), path)
    load([str(tmp_path / "in")], tmp_path / "home")
    watch = Watch()
    told = {"spark": session, "progress": watch}
    under_way = threading.Thread(target=load, args=([str(tmp_path / "in")], tmp_path / "away"), kwargs=told)
    under_way.start()
    assert watch.reducing.wait(300), "the rows were judged"
    until = time.monotonic() + 120
    while not tasks_are_running(session) and under_way.is_alive() and time.monotonic() < until:
        time.sleep(0.01)
    assert under_way.is_alive(), "a job was running"
    kill(cluster.workers[0])
    under_way.join(300)
    assert "Removing worker" in cluster.log.read_text(encoding="utf-8")
    assert apart(tmp_path / "home", tmp_path / "away") == []


class Watch(Silent):
    """Notes when the months are being summed up."""

    def __init__(self) -> None:
        self.reducing = threading.Event()

    def step(self, words: str) -> None:
        if words.startswith("reducing"):
            self.reducing.set()


def tasks_are_running(session: SparkSession) -> bool:
    tracker = session.sparkContext.statusTracker()
    stages = [tracker.getStageInfo(stage) for stage in tracker.getActiveStageIds()]
    return any(stage is not None and stage.numActiveTasks > 0 for stage in stages)
