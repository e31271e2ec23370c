"""The Parquet files that lie on a cluster: their names, sizes and shapes."""

from __future__ import annotations

import re
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import PurePosixPath
from typing import TYPE_CHECKING
from urllib.parse import unquote

from pyspark.errors import AnalysisException
from pyspark.sql import functions as sql

from reliability.errors import SourceError
from reliability.loaders.cluster.engine import FAILED, in_one_line

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from pyspark.sql.types import StructType

    from reliability.loaders.cluster.engine import Cluster

AT_A_TIME = 8  # footers that are read at a time


@dataclass(frozen=True, slots=True)
class RemoteFile:
    """One file as the cluster sees it."""

    name: str  # its address, by which the store knows it
    size: int
    modified: str  # when it was last written

    @property
    def base_name(self) -> str:
        """The last part of the name, where a day may stand."""
        return PurePosixPath(unquote(self.name)).name

    @property
    def digest(self) -> str:
        """What is known of the content without reading it: size and time."""
        return f"{self.size} bytes, written {self.modified}"


def find_files(cluster: Cluster, given: Sequence[str]) -> list[RemoteFile]:
    """Files, folders (searched to the bottom) and globs of Parquet, in the order of their names, each file once.

    Raises SourceError where nothing lies there.
    """
    listing = cluster.session.read.format("binaryFile").option("recursiveFileLookup", "true")
    try:
        rows = (
            listing.option("pathGlobFilter", "*.parquet")
            .load(list(given))
            .select(
                sql.col("_metadata.file_path"),
                "length",
                sql.date_format("modificationTime", "yyyy-MM-dd HH:mm:ss.SSS"),
            )
            .distinct()
            .collect()
        )
    except AnalysisException as error:
        raise SourceError(
            f"The cluster finds nothing to load: {in_one_line(error)}. Give a path that every worker sees."
        ) from None
    if not rows:
        raise SourceError(
            f"The cluster sees no file that ends in .parquet in {', '.join(given)}. A cluster reads Parquet only; "
            "load other files with the embedded engine."
        )
    return sorted((RemoteFile(*row) for row in rows), key=lambda file: file.name)


def still_there(cluster: Cluster, names: Sequence[str]) -> dict[str, RemoteFile]:
    """Those of the files that still lie where they lay, by name."""
    try:
        found = find_files(cluster, as_given(names))
    except SourceError:
        if len(names) == 1:
            return {}
        # One that is gone hides all others of its listing.
        half = len(names) // 2
        return still_there(cluster, names[:half]) | still_there(cluster, names[half:])
    return {file.name: file for file in found}


def as_given(names: Iterable[str]) -> list[str]:
    """Addresses of files as the cluster takes them: no sign in them is a pattern."""
    return [re.sub(r"([*?\[\]{}\\])", r"\\\1", unquote(name)) for name in names]


def shapes(cluster: Cluster, names: Sequence[str]) -> dict[str, StructType | str]:
    """The columns of each file, from its footer; or why it cannot be read."""

    def shape(name: str) -> StructType | str:
        try:
            return cluster.session.read.parquet(*as_given([name])).schema
        except FAILED as error:
            return in_one_line(error)

    with ThreadPoolExecutor(AT_A_TIME) as several:
        return dict(zip(names, several.map(shape, names), strict=True))
