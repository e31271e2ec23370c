"""A load: files in, one commit, or the store as it was."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Protocol

import attrs

from reliability.errors import SourceError
from reliability.loaders.engine import Engine
from reliability.loaders.ingest import Ingested, Reject, ingest, is_removal_log
from reliability.loaders.manifest import (
    NAME,
    LogEntry,
    Manifest,
    MonthEntry,
    SourceEntry,
    commit,
    held,
    read_manifest,
    sweep,
)
from reliability.loaders.mapping import OWN_NAMES, Mapping
from reliability.loaders.reduce import Workplace, make_lives, reduce_month
from reliability.loaders.removals import RemovalLog, read_removals
from reliability.loaders.sources import Found, SourceFile, find_sources


class Progress(Protocol):
    """Who wants to know how a load goes on."""

    def begin(self, files: int, size: int) -> None:
        """So many files, so many bytes."""

    def file_done(self, size: int, rows: int) -> None:
        """One file is read: its bytes, its rows."""

    def step(self, words: str) -> None:
        """What goes on now."""


class Silent:
    """Nobody wants to know."""

    def begin(self, files: int, size: int) -> None:
        """Say nothing."""

    def file_done(self, size: int, rows: int) -> None:
        """Say nothing."""

    def step(self, words: str) -> None:
        """Say nothing."""


@dataclass(frozen=True, slots=True)
class Loaded:
    """What one load did. Rows are of the files that it read: read = kept + rejected + duplicates."""

    files: int = 0
    files_unchanged: int = 0
    set_aside: dict[str, str] = field(default_factory=dict)
    rows_read: int = 0
    rows_kept: int = 0
    rows_rejected: int = 0
    duplicate_rows: int = 0
    log_rows_read: int = 0
    log_rows_rejected: int = 0


def load(
    sources: Sequence[str],
    store: Path,
    *,
    mapping: Mapping = OWN_NAMES,
    removals: Sequence[str] = (),
    progress: Progress | None = None,
) -> Loaded:
    """Read files, folders and globs into the store, all of them or none.

    A row that cannot be kept is rejected, a file that cannot be used set aside; both are told. The same file again changes nothing,
    a changed one replaces its rows. Raises SourceError if no file can be used, StoreError if the store is held or of another version.
    """
    logs = {Path(name).resolve(): read_removals(Path(name)) for name in removals}
    found = find_sources(sources) if sources else Found((), ())
    known = Manifest()
    if (store / NAME).exists():
        known = read_manifest(store)
    new_store = not store.exists()
    try:
        with held(store):
            known = read_manifest(store) if (store / NAME).exists() else known
            sweep(store, known)
            return _Load(store, known, mapping, progress or Silent()).run(found, logs)
    except BaseException:
        if new_store:
            _leave_nothing(store)
        raise


def _leave_nothing(store: Path) -> None:
    """A load that failed into a folder that was not there leaves no folder."""
    if (store / NAME).exists():
        return
    for path in sorted(store.rglob("*"), reverse=True):
        path.rmdir() if path.is_dir() else path.unlink()
    store.rmdir()


class _Load:
    """One load under way."""

    def __init__(self, store: Path, known: Manifest, mapping: Mapping, progress: Progress) -> None:
        self.store = store
        self.known = known
        self.mapping = mapping
        self.progress = progress
        self.generation = known.generation + 1
        self.sources = dict(known.sources)
        self.set_aside = dict(known.set_aside)
        self.came: dict[str, list[str]] = {}  # month -> new parts
        self.anew: set[str] = set()  # months that lost rows: made from all their parts
        self.rejects: list[tuple[str, Reject]] = []
        self.done = Loaded()

    def run(self, found: Found, logs: dict[Path, RemovalLog]) -> Loaded:
        engine = Engine(self.store / ".spill")
        try:
            self._read_files(engine, found, set(logs))
            changed_logs = {path: log for path, log in logs.items() if self._log_is_new(path, log)}
            self._refuse_if_nothing(found, logs)
            models = {**self.known.models, **self.mapping.models}
            if not self.came and not self.anew and not changed_logs and models == self.known.models and self.set_aside == self.known.set_aside:
                return self.done
            manifest = self._reduce(engine, changed_logs, models)
        except BaseException:
            engine.close()
            sweep(self.store, self.known)
            raise
        engine.close()
        commit(self.store, manifest)
        sweep(self.store, manifest)
        return self.done

    def _read_files(self, engine: Engine, found: Found, logs: set[Path]) -> None:
        aside = dict(found.unusable)
        files = [file for file in found.files if file.path not in logs]
        self.progress.begin(len(files), sum(file.size for file in files))
        read = unchanged = 0
        totals = [0, 0, 0]
        for number, file in enumerate(files):
            try:
                digest = self._digest(file)
                if self._is_known(file, digest):
                    unchanged += 1
                    self.progress.file_done(file.size, 0)
                    continue
                with file.on_disk(self.store) as path:
                    if is_removal_log(path, file, self.mapping):
                        raise SourceError("it has a column 'outcome' and looks like a removal log; give it with --removals")
                came = ingest(engine, file, self.mapping, self.store / "snapshots", f"{self.generation}-{number}.parquet")
            except SourceError as error:
                aside[file.name] = str(error)
                self.progress.file_done(file.size, 0)
                continue
            self._take(file, digest, came)
            read += 1
            totals = [totals[0] + came.rows_kept, totals[1] + len(came.rejects), totals[2] + came.duplicate_rows]
            self.progress.file_done(file.size, came.rows_read)
        self.set_aside |= aside
        kept, rejected, duplicates = totals
        self.done = Loaded(read, unchanged, aside, sum(totals), kept, rejected, duplicates)

    def _digest(self, file: SourceFile) -> str:
        """The content; and the day in the file's name, where rows get their date from it: two days may look alike."""
        try:
            day = self.mapping.day_in_name(file.base_name)
        except ValueError as error:
            raise SourceError(str(error)) from None
        return file.digest() + (f" {day}" if day is not None else "")

    def _is_known(self, file: SourceFile, digest: str) -> bool:
        rules = self.mapping.rules_digest
        here = self.sources.get(file.name)
        if here is not None:
            return (here.digest, here.rules) == (digest, rules)
        return any((entry.digest, entry.rules) == (digest, rules) for entry in self.sources.values())

    def _take(self, file: SourceFile, digest: str, came: Ingested) -> None:
        before = self.sources.get(file.name)
        if before is not None:
            self.anew |= set(before.parts)
        parts = {month: path.relative_to(self.store).as_posix() for month, path in came.parts.items()}
        self.sources[file.name] = SourceEntry(
            digest, self.mapping.rules_digest, came.rows_read, came.rows_kept, len(came.rejects), came.duplicate_rows, parts
        )
        self.set_aside.pop(file.name, None)
        for month, part in parts.items():
            self.came.setdefault(month, []).append(part)
        self.rejects += [(file.name, reject) for reject in came.rejects]

    def _log_is_new(self, path: Path, log: RemovalLog) -> bool:
        entry = self.known.logs.get(path.as_posix())
        return entry is None or entry.digest != log.digest

    def _refuse_if_nothing(self, found: Found, logs: dict[Path, RemovalLog]) -> None:
        usable = self.done.files + self.done.files_unchanged
        if usable or (logs and not found.files and not found.unusable):
            return
        reasons = "; ".join(f"{name}: {reason}" for name, reason in list(self.done.set_aside.items())[:3])
        more = f"; and {len(self.done.set_aside) - 3} more" if len(self.done.set_aside) > 3 else ""  # noqa: PLR2004  (the three just named)
        raise SourceError(
            f"None of the {len(self.done.set_aside)} files can be used, and the store is as it was: {reasons}{more}."
            if self.done.set_aside
            else "No file of snapshots was given: the one named is the removal log. Name the files with the daily rows as well."
        )

    def _reduce(self, engine: Engine, logs: dict[Path, RemovalLog], models: dict[str, list[str]]) -> Manifest:
        place = Workplace(engine, self.store, self.generation)
        touched = sorted(set(self.came) | self.anew)
        months = dict(self.known.months)
        for month in touched:
            self.progress.step(f"reducing {month}")
            entry = self._month(place, month, models)
            months.pop(month, None)
            if entry is not None:
                months[month] = entry
        manifest = attrs.evolve(
            self.known,
            generation=self.generation,
            sources=self.sources,
            set_aside=self.set_aside,
            logs={**self.known.logs, **{path.as_posix(): _log_entry(log) for path, log in logs.items()}},
            models=models,
            failed_means=_failed_means(self.mapping),
            months=dict(sorted(months.items())),
            tables={},
        )
        tables = {"rejects": self._rejects(place, logs), "removals": self._removals(place, logs)}
        manifest = attrs.evolve(manifest, tables=tables)
        if not months:
            return attrs.evolve(manifest, checkpoint=None)
        self.progress.step("making lives")
        made, checkpoint = make_lives(place, manifest, touched)
        return attrs.evolve(manifest, tables=tables | made, checkpoint=checkpoint)

    def _month(self, place: Workplace, month: str, models: dict[str, list[str]]) -> MonthEntry | None:
        parts = [entry.parts[month] for entry in self.sources.values() if month in entry.parts]
        if not parts:
            return None
        before = None if month in self.anew else self.known.months.get(month)
        return reduce_month(place, parts, parts if before is None else self.came[month], before, models, month)

    def _rejects(self, place: Workplace, logs: dict[Path, RemovalLog]) -> str:
        """The rejects of every file as it stands: those of files read now, in place of what they had before."""
        now = {name for name, entry in self.sources.items() if entry != self.known.sources.get(name)} | {path.as_posix() for path in logs}
        rows = [(name, reject.line, reject.column, reject.value, reject.reason) for name, reject in self.rejects]
        rows += [(path.as_posix(), *reject) for path, log in logs.items() for reject in log.rejects]
        return _replaced(place, self.known, "rejects", now, rows)

    def _removals(self, place: Workplace, logs: dict[Path, RemovalLog]) -> str:
        now = {path.as_posix() for path in logs}
        rows = [(e.serial, e.date, e.outcome, e.model, e.reason, path.as_posix()) for path, log in logs.items() for e in log.entries]
        return _replaced(place, self.known, "removals", now, rows)


def _replaced(place: Workplace, known: Manifest, table: str, now: Iterable[str], rows: Sequence[Sequence[object]]) -> str:
    """A table of rows by file, with those of the files read now in place of what these files had before."""
    place.engine.view(f"{table}_before", place.files([known.tables[table]] if table in known.tables else []))
    place.engine.hold("read_now", "name string", [(name,) for name in sorted(now)])
    place.engine.hold_like(table, rows)
    place.engine.make("all_rows", f"replaced_{table}")
    return place.write("all_rows", table)


def _log_entry(log: RemovalLog) -> LogEntry:
    return LogEntry(log.digest, log.rows_read, len(log.entries), len(log.rejects))


def _failed_means(mapping: Mapping) -> str:
    if mapping.failed is None:
        return "the column failed is true on the day of the failure"
    if mapping.failed.values is None:
        return f"the column {mapping.failed.column} is true on the day of the failure"
    return f"the column {mapping.failed.column} says {' or '.join(mapping.failed.values)}"
