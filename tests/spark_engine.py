"""The embedded engine's questions, answered by Spark: so that both can run the same reduction from the same texts."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import pyarrow as pa
import pyarrow.parquet as pq

from reliability.loaders.cluster.engine import Cluster
from reliability.loaders.engine import STATE_TYPES, Engine

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence
    from pathlib import Path

    from pyspark.sql import DataFrame, SparkSession


FOR_FEW_ROWS = {  # a program of its own for each query takes longer to write than these tables to go through
    "spark.sql.codegen.wholeStage": "false",
    "spark.sql.codegen.factoryMode": "NO_CODEGEN",
    "spark.sql.shuffle.partitions": "1",
}


class SparkEngine(Engine):
    """As the embedded engine, to whoever asks; each table is made once and kept."""

    def __init__(self, session: SparkSession) -> None:
        self.cluster = Cluster(session)
        for name, value in FOR_FEW_ROWS.items():
            self.cluster.session.conf.set(name, value)

    def close(self) -> None:
        """Leave the session to whoever made it."""

    def make(self, table: str, query: str | None = None, **parameters: object) -> None:
        rows = self.cluster.rows(query or table, **parameters)
        self.cluster.hold(table, rows.toArrow())

    def ask(self, query: str, **parameters: object) -> list[tuple[Any, ...]]:
        return self.cluster.ask(query, **parameters)

    def view(self, name: str, files: Iterable[Path]) -> None:
        paths = [str(file) for file in files]
        if paths:
            self.cluster.session.read.parquet(*paths).createOrReplaceTempView(name)
        else:
            self.hold_like(name, ())

    def define(self, name: str, query: str | None = None) -> None:
        self.cluster.define(name, query)

    def view_all(self, name: str, tables: Iterable[str]) -> None:
        first, *others = (self._table(table) for table in tables)
        for other in others:
            first = first.union(other)
        first.createOrReplaceTempView(name)

    def rename(self, table: str, name: str) -> None:
        self._table(table).createOrReplaceTempView(name)

    def hold(self, table: str, columns: str, rows: Sequence[Sequence[object]]) -> None:
        self.cluster.session.createDataFrame([tuple(row) for row in rows], columns).createOrReplaceTempView(
            table
        )

    def hold_like(self, table: str, rows: Sequence[Sequence[object]]) -> None:
        self.hold(table, STATE_TYPES[table.removesuffix("_before")], rows)

    def write(self, table: str, path: Path, order: str | None = None) -> None:
        rows = self._table(table)
        path.parent.mkdir(parents=True, exist_ok=True)
        pq.write_table(rows.orderBy(*order.split(", ")).toArrow() if order else rows.toArrow(), path)

    def count(self, table: str) -> int:
        return int(self._table(table).count())

    def arrow(self, table: str) -> pa.Table:
        return self._table(table).toArrow()

    def _table(self, name: str) -> DataFrame:
        return self.cluster.session.table(name)
