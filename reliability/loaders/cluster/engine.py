"""A cluster that runs queries: the same texts as the embedded engine, over rows that lie elsewhere."""

from __future__ import annotations

import math
import re
from contextlib import contextmanager
from typing import TYPE_CHECKING, Any

import pyarrow.parquet as pq
from py4j.protocol import Py4JError
from pyspark.errors import PySparkException
from pyspark.sql import functions as sql

from reliability.errors import LoadStopped
from reliability.loaders.engine import QUERIES

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    import pyarrow as pa
    from pyspark.sql import DataFrame, SparkSession

COMPRESSION = "zstd"  # of what comes home: stays become files of the store as they are
SLICE_ROWS = 500_000  # of stays come home at a time: about 170 MB
FAILED = (PySparkException, Py4JError, ConnectionError)  # what a question to a cluster may end with
CLASS = re.compile(r"^:? *[A-Za-z0-9_.$]+(Exception|Error): ")  # the name that Java has for what went wrong
SETTINGS = {
    "spark.sql.session.timeZone": "UTC",  # a moment becomes the same day on every machine
    "spark.sql.caseSensitive": "true",  # names are ours, or as the file has them
    "spark.sql.ansi.enabled": "true",
    "spark.sql.legacy.timeParserPolicy": "CORRECTED",
    "spark.sql.files.ignoreCorruptFiles": "false",  # nothing is passed over in silence
    "spark.sql.files.ignoreMissingFiles": "false",
}


class Cluster:
    """Named queries over named rows on Apache Spark, apart from what else its session holds."""

    def __init__(self, session: SparkSession) -> None:
        self.session = session.newSession()
        for name, value in SETTINGS.items():
            self.session.conf.set(name, value)

    def rows(self, query: str, **parameters: object) -> DataFrame:
        """The rows of a query, by its name."""
        text = (QUERIES / f"{query}.sql").read_text(encoding="utf-8")
        return self.session.sql(text, args=parameters or None)

    def define(self, name: str, query: str | None = None, **parameters: object) -> DataFrame:
        """Name the rows of a query without keeping them."""
        rows = self.rows(query or name, **parameters)
        rows.createOrReplaceTempView(name)
        return rows

    def hold(self, name: str, table: pa.Table) -> None:
        """Name rows that are at hand."""
        self.session.createDataFrame(table).createOrReplaceTempView(name)

    def ask(self, query: str, **parameters: object) -> list[tuple[Any, ...]]:
        """Run a query by its name and fetch its rows."""
        return [tuple(row) for row in self.rows(query, **parameters).collect()]

    @contextmanager
    def kept(self, rows: DataFrame) -> Iterator[DataFrame]:
        """Rows that several questions are asked about, made once; what a lost worker held is made again."""
        rows.persist()
        try:
            yield rows
        finally:
            rows.unpersist()

    def fetch(self, rows: DataFrame, path: Path, *, at_most: int) -> None:
        """Bring rows home to a Parquet file, a slice at a time, so that memory here does not grow with them.

        at_most  as many rows as there can be; if they are few, nothing is counted and kept for it
        """
        path.parent.mkdir(parents=True, exist_ok=True)
        if at_most <= SLICE_ROWS:
            pq.write_table(rows.toArrow(), path, compression=COMPRESSION)
            return
        with self.kept(rows):
            slices = max(1, math.ceil(rows.count() / SLICE_ROWS))
            place = sql.pmod(sql.xxhash64(*rows.columns[:2]), sql.lit(slices))
            first = rows.where(place == 0).toArrow()
            with pq.ParquetWriter(path, first.schema, compression=COMPRESSION) as file:
                file.write_table(first)
                for number in range(1, slices):
                    file.write_table(rows.where(place == number).toArrow())


@contextmanager
def told_apart() -> Iterator[None]:
    """Tell what a cluster could not do in one sentence; nothing of the store has changed by then."""
    try:
        yield
    except FAILED as error:
        raise LoadStopped(
            f"The cluster could not do its part, and the store is as it was: {in_one_line(error)}. "
            "See to the cluster, or to the file named, and load again."
        ) from None


def in_one_line(error: Exception) -> str:
    """What went wrong, without the program's own story of where."""
    lines = [line.strip() for line in str(error).splitlines() if line.strip(" :")]
    named = [line for line in lines if CLASS.search(line)]
    told = CLASS.sub("", (named or lines or ["it is gone"])[0])
    return told.partition(" SQLSTATE: ")[0].strip(" :.")
