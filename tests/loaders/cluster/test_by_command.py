"""The command loads on a cluster, and every later command asks the store."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

from fresh_python import fresh_python

if TYPE_CHECKING:
    from pathlib import Path

    from parquet_fleet import ParquetFleet
    from spark_cluster import Processes


def test_the_command_loads_on_a_cluster_and_every_later_command_asks_the_store(
    cluster: Processes, sources: ParquetFleet, tmp_path: Path
) -> None:
    away, at_home = tmp_path / "away", sources.folder / "at home"
    told = json.loads(
        fresh_python(
            *("-m", "reliability", "load", str(sources.folder / "snapshots")),
            *("--mapping", str(sources.folder / "mapping.toml"), "--removals", sources.log),
            *("--engine", "spark", "--master", cluster.master),
            *("--store", str(away), "--format", "json"),
        )
    )
    assert told["rows_read"] == told["rows_kept"] + told["rows_rejected"] + told["duplicate_rows"]
    rates = ("-m", "reliability", "rates", "--format", "json", "--store")
    assert fresh_python(*rates, str(away)) == fresh_python(*rates, str(at_home))
