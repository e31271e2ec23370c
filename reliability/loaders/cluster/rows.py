"""The rows of many files on a cluster as one table, whatever their shapes and the mappings that they are read by."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime
from functools import reduce
from typing import TYPE_CHECKING

import pyarrow as pa
from pyspark.sql import functions as sql
from pyspark.sql.types import StructType

from reliability.errors import SourceError
from reliability.loaders.cluster.files import RemoteFile, as_given
from reliability.loaders.cluster.judged import judged
from reliability.loaders.columns import NAMES
from reliability.loaders.header import LOG_FOUND, is_removal_log, place_columns

if TYPE_CHECKING:
    from collections.abc import Iterable
    from datetime import date

    from pyspark.sql import Column, DataFrame

    from reliability.loaders.cluster.engine import Cluster
    from reliability.loaders.mapping import Mapping


@dataclass(frozen=True, slots=True)
class Readable:
    """A file whose columns have been placed."""

    file: RemoteFile
    mapping: Mapping
    shape: StructType  # of the columns that are read
    places: tuple[tuple[str, str], ...]  # ours, theirs
    day: date | None  # where it stands in the file's name


def readable(file: RemoteFile, shape: StructType | str, mapping: Mapping) -> Readable:
    """Place the columns of a file. Raises SourceError, its text a reason, if it cannot be used as a whole."""
    if not isinstance(shape, StructType):
        raise SourceError(f"it cannot be read ({shape})")
    names = shape.fieldNames()
    if is_removal_log(names, mapping):
        raise SourceError(LOG_FOUND)
    day = mapping.day_in_name(file.base_name)
    found = place_columns(names, mapping, day_is_known=day is not None)
    places = {ours: names[number] for ours, number in found.items() if ours in NAMES}
    read = StructType([field for field in shape.fields if field.name in places.values()])
    return Readable(file, mapping, read, tuple(places.items()), day)


def judged_rows(cluster: Cluster, files: Iterable[Readable]) -> DataFrame:
    """Every row of the files, judged. Files of one shape are read as one."""
    alike: dict[str, list[Readable]] = {}
    for each in files:
        alike.setdefault(f"{each.mapping.rules_digest} {each.shape.json()}", []).append(each)
    today = datetime.now(UTC).date()
    tables = [judged(_rows(cluster, group), group[0].mapping, today) for group in alike.values()]
    return reduce(lambda one, other: one.union(other), tables)


def _rows(cluster: Cluster, alike: list[Readable]) -> DataFrame:
    """The rows of files of one shape under our names, with their file and their number in it, from 0."""
    paths = as_given(each.file.name for each in alike)
    ours = [_quoted(theirs).alias(ours) for ours, theirs in alike[0].places]
    rows = cluster.session.read.schema(alike[0].shape).parquet(*paths)
    placed = rows.select(
        *ours, sql.col("_metadata.file_path").alias("source_file"), sql.col("_metadata.row_index")
    )
    if alike[0].day is None:
        return placed
    names, days = [each.file.name for each in alike], [each.day for each in alike]
    in_names = cluster.session.createDataFrame(pa.table({"source_file": names, "day_in_name": days}))
    return placed.join(sql.broadcast(in_names), "source_file")


def _quoted(column: str) -> Column:
    return sql.col("`" + column.replace("`", "``") + "`")
