"""Where the snapshots lie: in the store, as parts of its own, or elsewhere, to be summed up in place."""

from __future__ import annotations

from contextlib import closing
from functools import partial
from itertools import chain
from typing import TYPE_CHECKING, Protocol

from reliability.errors import SourceError, StoreError
from reliability.loaders.ingest import Ingested, ingest
from reliability.loaders.manifest import SourceEntry
from reliability.loaders.memory import FILES_AT_ONCE, USUAL, Memory
from reliability.loaders.months import Snapshots, settle
from reliability.loaders.side_by_side import side_by_side
from reliability.loaders.stays_under_way import StaysUnderWay

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Mapping, Sequence
    from pathlib import Path

    from reliability.loaders.manifest import MonthEntry
    from reliability.loaders.progress import Progress
    from reliability.loaders.reading import Reading
    from reliability.loaders.sources import Found, SourceFile
    from reliability.loaders.workplace import Workplace


class Ground(Snapshots, Protocol):
    """What a load asks of the place where its snapshots lie: first that it reads them."""

    def read(self, place: Workplace, reading: Reading, progress: Progress) -> None:
        """Judge the rows of the files that are new; tell `reading` what each file came to."""

    def close_accounts(self, place: Workplace, reading: Reading, months: Mapping[str, MonthEntry]) -> None:
        """Tell `reading` what showed of its files only when the months had been made."""


class InStore:
    """Files of any kind become parts of the store, and are summed up by the embedded engine."""

    def __init__(self, found: Found, memory: Memory = USUAL) -> None:
        self.found = found
        self.memory = memory

    def read(self, place: Workplace, reading: Reading, progress: Progress) -> None:
        """Read the files, some side by side; what cannot be used is set aside."""
        if self.found.files and reading.read_in_place:
            raise StoreError(
                f"The snapshots of the store in {place.folder} stay on a cluster, and it cannot hold others itself. "
                "Load them with --engine spark, or into another folder with --store."
            )
        self._stays = StaysUnderWay(place.aside, place.rows_at_once)
        reading.aside |= dict(self.found.unusable)
        files = self.found.files
        progress.begin(len(files), sum(file.size for file in files))
        look = partial(_look_at, place, reading, self.memory)
        later = []
        with self._stays.beside:
            with closing(side_by_side(look, enumerate(files), FILES_AT_ONCE)) as coming:
                for numbered, looked_at in coming:
                    if not self._take(place, reading, progress, numbered, looked_at.result):
                        later.append(numbered)
            for numbered in later:
                self._take(place, reading, progress, numbered, partial(look, numbered), is_last=True)

    def _take(  # noqa: PLR0913  (what a file is taken from and into)
        self,
        place: Workplace,
        reading: Reading,
        progress: Progress,
        numbered: tuple[int, SourceFile],
        look: Callable[[], tuple[str, Ingested | None]],
        *,
        is_last: bool = False,
    ) -> bool:
        """Note what a file came to; False if it has to be looked at again when all others have been."""
        _, file = numbered
        came = None
        try:
            digest, came = look()
            known = reading.knows(file.name, digest)
            if known and came is not None:
                _discard(came)
                came = None
            if known and file.name not in reading.sources and not is_last:
                # Another file had this content. Whether it still has is not known before all have been looked at.
                return False
            if known:
                reading.keep(file.name)
            else:
                came = came or _ingest(place, reading, self.memory, numbered)
                self._note_stays(came)
                reading.take(file.name, _entry(place, reading, digest, came), came.rejects)
        except SourceError as error:
            reading.aside[file.name] = str(error)
        progress.file_done(file.size, came.rows_read if came is not None else 0)
        return True

    def _note_stays(self, came: Ingested) -> None:
        for month, part in came.parts.items():
            if month in came.at_hand:
                self._stays.add_rows(month, part, came.at_hand[month])
            else:
                self._stays.add_stays(month, part, came.stays[month])

    def sum_up(
        self, place: Workplace, parts: Mapping[str, Sequence[str]], progress: Progress
    ) -> Iterator[tuple[str, list[Path]]]:
        """Each month with files of its parts' stays; two months at once."""
        with closing(side_by_side(partial(self._sum_up, place), parts.items(), FILES_AT_ONCE)) as coming:
            for (month, _), files in coming:
                progress.step(f"reducing {month}")
                yield month, files.result()

    def _sum_up(self, place: Workplace, of_month: tuple[str, Sequence[str]]) -> list[Path]:
        month, parts = of_month
        return self._stays.files_of(month, place.files(parts))

    def settle(self, place: Workplace, month: str, parts: Sequence[str]) -> None:  # noqa: ARG002  (the same)
        """Make `settled_stays` and `new_repeats` of the parts."""
        settle(place.engine, place.files(parts))

    def close_accounts(self, place: Workplace, reading: Reading, months: Mapping[str, MonthEntry]) -> None:
        """Nothing is left to tell: a file's duplicates are counted as it is read."""


def _look_at(
    place: Workplace, reading: Reading, memory: Memory, numbered: tuple[int, SourceFile]
) -> tuple[str, Ingested | None]:
    """The content of a file by its digest, and what came of it if it was not known."""
    _, file = numbered
    digest = _digest(file, reading)
    return digest, None if reading.knows(file.name, digest) else _ingest(place, reading, memory, numbered)


def _ingest(place: Workplace, reading: Reading, memory: Memory, numbered: tuple[int, SourceFile]) -> Ingested:
    number, file = numbered
    name = f"{place.generation}-{number}.parquet"
    return ingest(place.engine, file, reading.mapping, place.folder, name, memory)


def _discard(came: Ingested) -> None:
    """Take away what was read of a file before it showed that another has the same content."""
    for path in (*came.parts.values(), *chain(*came.stays.values())):
        path.unlink()


def _entry(place: Workplace, reading: Reading, digest: str, came: Ingested) -> SourceEntry:
    return SourceEntry(
        digest=digest,
        rules=reading.rules,
        rows_read=came.rows_read,
        rows_kept=came.rows_kept,
        rows_rejected=len(came.rejects),
        duplicate_rows=came.duplicate_rows,
        parts={month: path.relative_to(place.folder).as_posix() for month, path in came.parts.items()},
    )


def _digest(file: SourceFile, reading: Reading) -> str:
    """The content; and the day in the file's name where rows get their date from it: two days may look alike."""
    day = reading.mapping.day_in_name(file.base_name)
    return file.digest() + (f" {day}" if day is not None else "")
