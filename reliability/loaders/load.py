"""A load: files in, one commit, or the store as it was."""

from __future__ import annotations

import re
from dataclasses import replace
from os import PathLike, fspath
from pathlib import Path
from typing import TYPE_CHECKING

import attrs

from reliability.errors import LoadStopped, SourceError
from reliability.loaders.engine import FULL, Engine
from reliability.loaders.ground import Ground, InStore
from reliability.loaders.manifest import (
    WORK,
    LogEntry,
    Manifest,
    MonthEntry,
    commit,
    has_store,
    held,
    own_generation,
    read_manifest,
    sweep_replaced,
    sweep_unfinished,
)
from reliability.loaders.mapping import OWN_NAMES, Mapping
from reliability.loaders.memory import USUAL, Memory
from reliability.loaders.months import reduce_month
from reliability.loaders.progress import Progress, Silent
from reliability.loaders.reading import Loaded, Reading
from reliability.loaders.reasons import joined_words
from reliability.loaders.reduce import make_lives
from reliability.loaders.removals import RemovalLog, read_removals
from reliability.loaders.sources import Found, find_sources
from reliability.loaders.spellings import joined_aliases
from reliability.loaders.workplace import Workplace

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from pyspark.sql import SparkSession

    Named = str | PathLike[str]

NAMED_REASONS = 3  # of files that cannot be used, in the sentence that says so


def load(  # noqa: PLR0913  (each is one thing that a load is told)
    sources: Named | Iterable[Named],
    store: Named,
    *,
    mapping: Mapping = OWN_NAMES,
    removals: Named | Iterable[Named] = (),
    progress: Progress | None = None,
    memory: Memory = USUAL,
    spark: SparkSession | None = None,
) -> Loaded:
    """Read files, folders and globs into the store, all of them or none.

    A row that cannot be kept is rejected, a file that cannot be used set aside; both are told. The same file
    again changes nothing, a changed one replaces its rows.

    sources, removals  one path, or several; a source may be a file, a folder or a glob
    store  the folder; it is made if there is none
    memory  how much of it may be used, and for what
    spark  a session of an Apache Spark cluster: the sources are Parquet as it sees them, and stay where they lie;
           it makes their stays, and only these come home. Without one all files are read into the store.

    Raises SourceError if no file can be used, StoreError if the store is held or of another version, LoadStopped
    if the disk or the memory is full.
    """
    folder, named = Path(store), _paths(sources)
    if not named and not _paths(removals):
        raise SourceError(
            "Nothing was named to load; name files, folders or globs of snapshots, or a removal log."
        )
    logs = {Path(name).resolve(): read_removals(Path(name)) for name in _paths(removals)}
    ground = _ground(named, folder, set(logs), memory, spark)
    if has_store(folder):
        read_manifest(folder)  # of another version: nothing is touched, not even the lock
    with held(folder):
        known = read_manifest(folder) if has_store(folder) else Manifest()
        sweep_unfinished(folder, known)
        try:
            under_way = _Load(folder, known, Reading(known, mapping), ground, progress or Silent())
            return under_way.run(logs, memory, named=bool(named))
        except (OSError, MemoryError, *FULL) as error:
            raise LoadStopped(
                f"The load stopped, and the store in {folder} is as it was: {_why_full(error)}. "
                "Make room on the disk or in memory, and load again."
            ) from None


def _paths(named: Named | Iterable[Named]) -> list[str]:
    """One path is a list of one: the letters of a text are no paths."""
    paths = [fspath(path) for path in ([named] if isinstance(named, str | PathLike) else named)]
    if "" in paths:
        raise SourceError("A source or log has no name; name a file, a folder or a glob.")
    return paths


def _ground(
    sources: Sequence[str], store: Path, logs: set[Path], memory: Memory, spark: SparkSession | None
) -> Ground:
    if spark is None or not sources:
        found = _foreign(find_sources(sources), store, logs) if sources else Found((), ())
        return InStore(found, memory)
    from reliability.loaders.cluster.in_place import InPlace  # noqa: PLC0415  (only a cluster needs PySpark)

    return InPlace(spark, sources)


def _why_full(error: Exception) -> str:
    """The engine wraps what the system said in a record of its own."""
    said = str(error).splitlines()[0]
    wrapped = re.search(r'"exception_message":"(.*?)","errno"', said)
    return said if wrapped is None else wrapped[1].replace('\\"', "")


def _foreign(found: Found, store: Path, logs: set[Path]) -> Found:
    """What was found without the logs and the store's own files, which lie there when a folder above it is named."""
    files = tuple(file for file in found.files if own_generation(store.resolve(), file.path) is None)
    if found.files and not files and not found.unusable:
        raise SourceError(f"These are the files of the store in {store} itself; name those of your source.")
    return Found(tuple(file for file in files if file.path not in logs), found.unusable)


class _Load:
    """One load under way: what is known of the store, and what has come on top of it so far."""

    def __init__(
        self, store: Path, known: Manifest, reading: Reading, ground: Ground, progress: Progress
    ) -> None:
        self.store = store
        self.known = known
        self.reading = reading
        self.ground = ground
        self.progress = progress
        self.generation = known.generation + 1

    def run(self, logs: dict[Path, RemovalLog], memory: Memory, *, named: bool) -> Loaded:
        """Read, reduce, commit; whatever goes wrong, only what the manifest names is left.

        named  whether any source of snapshots was named; else the logs alone are read
        """
        (self.store / WORK).mkdir(exist_ok=True)
        engine = Engine(self.store / WORK, memory.engine_megabytes)
        place = Workplace(engine, self.store, self.generation, memory.rows_at_once)
        try:
            self.ground.read(place, self.reading, self.progress)
            if named:
                _refuse_if_nothing(self.reading.loaded())
            manifest = self._manifest(logs)
            if manifest != self.known:
                manifest = self._reduce(place, manifest, logs)
                commit(self.store, manifest)
                sweep_replaced(self.store, self.known, manifest)
        finally:
            engine.close()
            sweep_unfinished(self.store, read_manifest(self.store) if has_store(self.store) else self.known)
        return self.reading.loaded()

    def _manifest(self, logs: dict[Path, RemovalLog]) -> Manifest:
        """The manifest as the files alone make it; equal to the known one if nothing is new."""
        # A file set aside now keeps the rows that it gave earlier, if it gave any; it is told in both lists.
        usable = self.reading.usable | {path.as_posix() for path in logs}
        aside = {name: reason for name, reason in self.known.set_aside.items() if name not in usable}
        return replace(
            self.known,
            sources=self.reading.sources,
            set_aside=aside | self.reading.aside,
            logs=self.known.logs | {path.as_posix(): _log_entry(log) for path, log in logs.items()},
            models=joined_aliases(self.known.models, self.reading.mapping.models),
            retired=joined_words(self.known.retired, attrs.asdict(self.reading.mapping.retired)),
            read_in_place=self.reading.read_in_place,
            failed_means=_failed_means(self.reading.mapping)
            if self.reading.came
            else self.known.failed_means,
        )

    def _reduce(self, place: Workplace, manifest: Manifest, logs: dict[Path, RemovalLog]) -> Manifest:
        touched = sorted(set(self.reading.came) | self.reading.anew)
        months = {month: entry for month, entry in self.known.months.items() if month not in touched}
        new = {month: parts for month in touched if (parts := self._new_parts(month))}
        for month, summaries in self.ground.sum_up(place, new, self.progress):
            months[month] = self._month(place, month, summaries, manifest)
        self.ground.close_accounts(place, self.reading, months)
        manifest = replace(
            manifest,
            generation=self.generation,
            sources=self.reading.sources,
            months=dict(sorted(months.items())),
            tables={"rejects": self._rejects(place, logs), "removals": self._removals(place, logs)},
        )
        if not months:
            return replace(manifest, checkpoint=None)
        self.progress.step("making lives")
        made, checkpoint = make_lives(place, manifest, touched)
        return replace(manifest, tables=manifest.tables | made, checkpoint=checkpoint)

    def _new_parts(self, month: str) -> list[str]:
        """The parts of a month that are not in its stays yet."""
        return self.reading.parts_of(month) if self._before(month) is None else self.reading.came[month]

    def _before(self, month: str) -> MonthEntry | None:
        """The month as it was, if nothing of it was taken back."""
        return None if month in self.reading.anew else self.known.months.get(month)

    def _month(
        self, place: Workplace, month: str, summaries: Sequence[Path], manifest: Manifest
    ) -> MonthEntry:
        parts, before = self.reading.parts_of(month), self._before(month)
        return reduce_month(
            place, self.ground, month, summaries, parts=parts, before=before, models=manifest.models
        )

    def _rejects(self, place: Workplace, logs: dict[Path, RemovalLog]) -> str:
        """The rejects of every file as it stands: of those read now, in place of what they had before."""
        now = set(self.reading.read_now()) | {path.as_posix() for path in logs}
        rows = [
            (name, reject.line, reject.column, reject.value, reject.reason)
            for name, reject in self.reading.rejects
        ]
        rows += [(path.as_posix(), *reject) for path, log in logs.items() for reject in log.rejects]
        return _replaced(place, self.known, "rejects", now, rows)

    def _removals(self, place: Workplace, logs: dict[Path, RemovalLog]) -> str:
        rows = [
            (entry.serial, entry.date, entry.outcome, entry.model, entry.reason, path.as_posix())
            for path, log in logs.items()
            for entry in log.entries
        ]
        return _replaced(place, self.known, "removals", {path.as_posix() for path in logs}, rows)


def _refuse_if_nothing(done: Loaded) -> None:
    """Raise SourceError if none of the files named can be used."""
    if done.files + done.files_unchanged:
        return
    if not done.set_aside:
        raise SourceError(
            "No file of snapshots was named, only the removal log; name the files with the daily rows as well."
        )
    told = [f"{name}: {reason}" for name, reason in done.set_aside.items()]
    more = f"; and {len(told) - NAMED_REASONS} more" if len(told) > NAMED_REASONS else ""
    count = "The one file named cannot" if len(told) == 1 else f"None of the {len(told)} files can"
    raise SourceError(
        f"{count} be used, and the store is as it was: {'; '.join(told[:NAMED_REASONS])}{more}."
    )


def _replaced(
    place: Workplace, known: Manifest, table: str, now: Iterable[str], rows: Sequence[Sequence[object]]
) -> str:
    """A table of rows by file, with those of the files read now in place of what these files had before."""
    place.engine.view(f"{table}_before", place.files([known.tables[table]] if table in known.tables else []))
    place.engine.hold("read_now", "name string", [(name,) for name in sorted(now)])
    place.engine.hold_like(table, rows)
    place.engine.make("all_rows", f"replaced_{table}")
    return place.write("all_rows", table)


def _log_entry(log: RemovalLog) -> LogEntry:
    return LogEntry(log.digest, log.rows_read, len(log.entries), len(log.rejects))


def _failed_means(mapping: Mapping) -> str:
    column = mapping.theirs("failed")
    if mapping.failed is None or mapping.failed.values is None:
        return f"the column {column} is true on the day of the failure"
    return f"the column {column} says {' or '.join(mapping.failed.values)}"
