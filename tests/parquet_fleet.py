"""A generated fleet as Parquet, a file a month, every cell as text; and how to load it."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pyarrow as pa
import pyarrow.parquet as pq
from fleets import Fleet, mapping_toml, write_log
from tiny_stores import put

from reliability.loaders.load import load
from reliability.loaders.mapping import read_mapping

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    from pyspark.sql import SparkSession

    from reliability.loaders.reading import Loaded


class ParquetFleet:
    """A dirty fleet as Parquet, a file a month, every cell as text; and how to load it."""

    def __init__(self, folder: Path, fleet: Fleet) -> None:
        self.folder, self.fleet = folder, fleet
        self.mapping = read_mapping(put(folder / "mapping.toml", mapping_toml(fleet.aliases, fleet.failure)))
        self.log = str(write_log(fleet.log, folder / "log.csv"))
        self.paths = [self._write(place) for place in range(len(fleet.files))]

    def _write(self, place: int) -> Path:
        file = self.fleet.files[place]
        path = self.folder / "snapshots" / f"{file.name}.parquet"
        path.parent.mkdir(exist_ok=True)
        columns = zip(*file.records, strict=True)
        pq.write_table(
            pa.table({n: pa.array(c, pa.string()) for n, c in zip(file.columns, columns, strict=True)}), path
        )
        return path

    def load(self, store: str, paths: Sequence[Path], spark: SparkSession | None = None) -> Loaded:
        names = [str(path) for path in paths]
        return load(names, self.folder / store, mapping=self.mapping, removals=[self.log], spark=spark)
