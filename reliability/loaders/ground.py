"""Where the snapshots lie: in the store, as parts of its own, or elsewhere, to be summed up in place."""

from __future__ import annotations

from typing import TYPE_CHECKING, Protocol

from reliability.errors import SourceError, StoreError
from reliability.loaders import reduce
from reliability.loaders.ingest import Ingested, ingest
from reliability.loaders.manifest import SourceEntry

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from reliability.loaders.manifest import MonthEntry
    from reliability.loaders.progress import Progress
    from reliability.loaders.reading import Reading
    from reliability.loaders.reduce import Workplace
    from reliability.loaders.sources import Found, SourceFile


class Ground(reduce.Ground, Protocol):
    """What a load asks of the place where its snapshots lie."""

    def read(self, place: Workplace, reading: Reading, progress: Progress) -> None:
        """Judge the rows of the files that are new; tell `reading` what each file came to."""

    def close_accounts(self, place: Workplace, reading: Reading, months: Mapping[str, MonthEntry]) -> None:
        """Tell `reading` what showed of its files only when the months had been made."""


class InStore:
    """Files of any kind become parts of the store, and are summed up by the embedded engine."""

    def __init__(self, found: Found) -> None:
        self.found = found

    def read(self, place: Workplace, reading: Reading, progress: Progress) -> None:
        """Read the files one by one; what cannot be used is set aside."""
        if self.found.files and reading.read_in_place:
            raise StoreError(
                f"The snapshots of the store in {place.folder} stay on a cluster, and it cannot hold others itself. "
                "Load them with --engine spark, or into another folder with --store."
            )
        reading.aside |= dict(self.found.unusable)
        files = self.found.files
        progress.begin(len(files), sum(file.size for file in files))
        queue = list(files)
        for number, file in enumerate(queue):
            came = None
            try:
                digest = _digest(file, reading)
                known = reading.knows(file.name, digest)
                if known and file.name not in reading.sources and number < len(files):
                    # Another file had this content. Whether it still has is not known before all have been looked at.
                    queue.append(file)
                    continue
                if known:
                    reading.keep(file.name)
                else:
                    came = self._ingest(place, file, digest, reading)
            except SourceError as error:
                reading.aside[file.name] = str(error)
            progress.file_done(file.size, came.rows_read if came is not None else 0)

    def _ingest(self, place: Workplace, file: SourceFile, digest: str, reading: Reading) -> Ingested:
        name = f"{place.generation}-{len(reading.read_now())}.parquet"
        came = ingest(place.engine, file, reading.mapping, place.folder, name)
        entry = SourceEntry(
            digest=digest,
            rules=reading.mapping.rules_digest,
            rows_read=came.rows_read,
            rows_kept=came.rows_kept,
            rows_rejected=len(came.rejects),
            duplicate_rows=came.duplicate_rows,
            parts={month: path.relative_to(place.folder).as_posix() for month, path in came.parts.items()},
        )
        reading.take(file.name, entry, came.rejects)
        return came

    def sum_up(self, place: Workplace, month: str, parts: Sequence[str]) -> None:  # noqa: ARG002  (the parts are of one month)
        """Make `stays` of the parts."""
        reduce.sum_up(place.engine, place.files(parts))

    def settle(self, place: Workplace, month: str, parts: Sequence[str]) -> None:  # noqa: ARG002  (the same)
        """Make `settled_stays` and `new_repeats` of the parts."""
        reduce.settle(place.engine, place.files(parts))

    def close_accounts(self, place: Workplace, reading: Reading, months: Mapping[str, MonthEntry]) -> None:
        """Nothing is left to tell: a file's duplicates are counted as it is read."""


def _digest(file: SourceFile, reading: Reading) -> str:
    """The content; and the day in the file's name where rows get their date from it: two days may look alike."""
    day = reading.mapping.day_in_name(file.base_name)
    return file.digest() + (f" {day}" if day is not None else "")
