"""A fleet summed up by 1 and by 2 workers: `PYTHONPATH=tests python -m benchmarks.on_a_cluster FOLDER [--drives N]`.

A master and two workers of one core each on loopback, as the tests run them. Told is what Spark itself counted, from
its event log: processor seconds of the tasks, and the bytes that move over the network.
"""

from __future__ import annotations

import argparse
import json
import os
import time
from collections import Counter
from pathlib import Path

import pyarrow as pa
import pyarrow.parquet as pq
from pyspark.sql import SparkSession
from spark_cluster import SETTINGS, running_cluster

from benchmarks.fleet import Plan, drives_of, months, snapshots
from reliability.loaders.load import load

METRICS = {
    "Executor CPU Time": "processor seconds",
    "Shuffle Bytes Written": "bytes shuffled",
    "Shuffle Records Written": "rows shuffled",
    "Result Size": "bytes to the driver",
}
TASK_END = '{"Event":"SparkListenerTaskEnd"'
SHUFFLE = "Shuffle Write Metrics"  # where those of the shuffle stand


def write_parquet(plan: Plan, folder: Path) -> int:
    """Write a fleet as Parquet, a file a month, with days as days and flags as flags; give the number of rows."""
    folder.mkdir(parents=True, exist_ok=True)
    drives = drives_of(plan)
    rows = 0
    for month, days in months(plan):
        table = snapshots(plan, drives, days)
        for name, kind in (("date", pa.date32()), ("failed", pa.bool_())):
            table = table.set_column(table.column_names.index(name), name, table[name].cast(kind))
        pq.write_table(table, folder / f"{month}.parquet", compression="zstd")
        rows += table.num_rows
    return rows


def measured(source: Path, folder: Path, workers: int) -> dict[str, float]:
    """Load on a cluster of its own; the seconds, and what the event log adds up to."""
    folder.mkdir(parents=True)
    (folder / "events").mkdir()
    os.environ["SPARK_LOCAL_IP"] = "127.0.0.1"
    usual = {name: value for name, value in SETTINGS.items() if "extraJavaOptions" not in name}
    settings = usual | {"spark.eventLog.enabled": "true", "spark.eventLog.dir": f"file://{folder / 'events'}"}
    settings |= {"spark.cores.max": str(workers), "spark.sql.shuffle.partitions": "8"}
    settings |= {"spark.sql.adaptive.enabled": "true", "spark.eventLog.compress": "false"}
    with running_cluster(folder) as cluster:
        session = SparkSession.builder.master(cluster.master).config(map=settings).getOrCreate()
        began = time.monotonic()
        try:
            load([str(source)], folder / "store", spark=session)
            seconds = time.monotonic() - began
        finally:
            session.stop()
    return {"seconds": seconds} | added_up(folder / "events")


def added_up(events: Path) -> dict[str, float]:
    """The metrics of all tasks of an event log, by the words for them."""
    found: Counter[str] = Counter()
    for log in (path for path in events.rglob("*") if path.is_file()):
        for line in log.read_text(encoding="utf-8").splitlines():
            if not line.startswith(TASK_END):
                continue
            task = json.loads(line).get("Task Metrics") or {}
            for metric, words in METRICS.items():
                place = task.get(SHUFFLE, {}) if metric.startswith("Shuffle") else task
                found[words] += place.get(metric, 0)
    return {**found, "processor seconds": found["processor seconds"] / 1e9}


def main() -> None:
    """Measure from the command line, and print a line a number of workers as JSON."""
    parser = argparse.ArgumentParser(
        prog="python -m benchmarks.on_a_cluster", description=__doc__.splitlines()[0]
    )
    parser.add_argument("folder", type=Path)
    parser.add_argument("--drives", type=int, default=9_000)
    parser.add_argument("--workers", type=int, nargs="+", choices=(1, 2), default=(1, 2))
    asked = parser.parse_args()
    source = asked.folder / "snapshots"
    rows = write_parquet(Plan(drives=asked.drives, days=181), source)
    size = sum(path.stat().st_size for path in source.iterdir())
    for workers in asked.workers:
        told = measured(source, asked.folder / f"workers-{workers}", workers)
        stays = sum(
            p.stat().st_size
            for p in (asked.folder / f"workers-{workers}" / "store" / "stays").rglob("*.parquet")
        )
        line = {"workers": workers, "rows": rows, "source bytes": size, "bytes of stays": stays, **told}
        print(json.dumps(line), flush=True)  # noqa: T201  (the answer of a program)


if __name__ == "__main__":
    main()
