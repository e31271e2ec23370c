"""A load: files in, one commit, or the store as it was."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING

import attrs

from reliability.errors import LoadStopped, SourceError
from reliability.loaders.engine import FULL, Engine
from reliability.loaders.ingest import Ingested, Reject, ingest
from reliability.loaders.manifest import (
    WORK,
    LogEntry,
    Manifest,
    MonthEntry,
    SourceEntry,
    commit,
    has_store,
    held,
    own_generation,
    read_manifest,
    sweep_replaced,
    sweep_unfinished,
)
from reliability.loaders.mapping import OWN_NAMES, Mapping
from reliability.loaders.progress import Progress, Silent
from reliability.loaders.reduce import Workplace, make_lives, reduce_month
from reliability.loaders.removals import RemovalLog, read_removals
from reliability.loaders.sources import Found, SourceFile, find_sources
from reliability.loaders.spellings import joined_aliases

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

NAMED_REASONS = 3  # of files that cannot be used, in the sentence that says so


@dataclass(frozen=True, slots=True)
class Loaded:
    """What one load did. Rows are of the files that it read: read = kept + rejected + duplicates."""

    files: int = 0
    files_unchanged: int = 0
    set_aside: dict[str, str] = field(default_factory=dict)  # name -> reason
    rows_kept: int = 0
    rows_rejected: int = 0
    duplicate_rows: int = 0

    @property
    def rows_read(self) -> int:
        """Every record of these files that is not blank."""
        return self.rows_kept + self.rows_rejected + self.duplicate_rows


def load(
    sources: Sequence[str],
    store: Path,
    *,
    mapping: Mapping = OWN_NAMES,
    removals: Sequence[str] = (),
    progress: Progress | None = None,
) -> Loaded:
    """Read files, folders and globs into the store, all of them or none.

    A row that cannot be kept is rejected, a file that cannot be used set aside; both are told. The same file
    again changes nothing, a changed one replaces its rows.

    Raises SourceError if no file can be used, StoreError if the store is held or of another version, LoadStopped
    if the disk or the memory is full.
    """
    logs = {Path(name).resolve(): read_removals(Path(name)) for name in removals}
    found = _foreign(find_sources(sources), store) if sources else Found((), ())
    if has_store(store):
        read_manifest(store)  # of another version: nothing is touched, not even the lock
    with held(store):
        known = read_manifest(store) if has_store(store) else Manifest()
        sweep_unfinished(store, known)
        try:
            return _Load(store, known, mapping, progress or Silent()).run(found, logs)
        except (OSError, *FULL) as error:
            raise LoadStopped(
                f"The load stopped, and the store in {store} is as it was: {_why_full(error)}. "
                "Make room on the disk or in memory, and load again."
            ) from None


def _why_full(error: Exception) -> str:
    """The engine wraps what the system said in a record of its own."""
    said = str(error).splitlines()[0]
    wrapped = re.search(r'"exception_message":"(.*?)","errno"', said)
    return said if wrapped is None else wrapped[1].replace('\\"', "")


def _foreign(found: Found, store: Path) -> Found:
    """What was found without the store's own files, which lie there too when a folder above it is named."""
    files = tuple(file for file in found.files if own_generation(store.resolve(), file.path) is None)
    if found.files and not files and not found.unusable:
        raise SourceError(f"These are the files of the store in {store} itself; name those of your source.")
    return Found(files, found.unusable)


class _Load:
    """One load under way: what is known of the store, and what has come on top of it so far."""

    def __init__(self, store: Path, known: Manifest, mapping: Mapping, progress: Progress) -> None:
        self.store = store
        self.known = known
        self.mapping = mapping
        self.progress = progress
        self.generation = known.generation + 1
        self.sources = dict(known.sources)
        self.came: dict[str, list[str]] = {}  # month -> new parts
        self.anew: set[str] = set()  # months that lost rows: made from all their parts
        self.rejects: list[tuple[str, Reject]] = []
        self.usable: set[str] = set()  # files read now or unchanged

    def run(self, found: Found, logs: dict[Path, RemovalLog]) -> Loaded:
        """Read, reduce, commit; whatever goes wrong, only what the manifest names is left."""
        engine = Engine(self.store / WORK)
        try:
            done = self._read_files(engine, found, set(logs))
            _refuse_if_nothing(done, found)
            manifest = self._manifest(done, logs)
            if manifest != self.known:
                manifest = self._reduce(engine, manifest, logs)
                commit(self.store, manifest)
                sweep_replaced(self.store, self.known, manifest)
        finally:
            engine.close()
            sweep_unfinished(self.store, read_manifest(self.store) if has_store(self.store) else self.known)
        return done

    def _read_files(self, engine: Engine, found: Found, logs: set[Path]) -> Loaded:
        aside = dict(found.unusable)
        read: list[Ingested] = []
        files = [file for file in found.files if file.path not in logs]
        self.progress.begin(len(files), sum(file.size for file in files))
        unchanged = 0
        queue = list(files)
        for place, file in enumerate(queue):
            came = None
            try:
                digest = self._digest(file)
                known = self._is_known(file, digest)
                if known and file.name not in self.sources and place < len(files):
                    # Another file had this content. Whether it still has is not known before all have been looked at.
                    queue.append(file)
                    continue
                if known:
                    unchanged += 1
                else:
                    name = f"{self.generation}-{len(read)}.parquet"
                    came = ingest(engine, file, self.mapping, self.store, name)
                    self._take(file, digest, came)
                    read.append(came)
                self.usable.add(file.name)
            except SourceError as error:
                aside[file.name] = str(error)
            self.progress.file_done(file.size, came.rows_read if came is not None else 0)
        return Loaded(
            files=len(read),
            files_unchanged=unchanged,
            set_aside=aside,
            rows_kept=sum(came.rows_kept for came in read),
            rows_rejected=sum(len(came.rejects) for came in read),
            duplicate_rows=sum(came.duplicate_rows for came in read),
        )

    def _digest(self, file: SourceFile) -> str:
        """The content; and the day in the file's name where rows get their date from it: two days may look alike."""
        day = self.mapping.day_in_name(file.base_name)
        return file.digest() + (f" {day}" if day is not None else "")

    def _is_known(self, file: SourceFile, digest: str) -> bool:
        read_as = (digest, self.mapping.rules_digest)
        here = self.sources.get(file.name)
        if here is not None:
            return (here.digest, here.rules) == read_as
        return any((entry.digest, entry.rules) == read_as for entry in self.sources.values())

    def _take(self, file: SourceFile, digest: str, came: Ingested) -> None:
        before = self.sources.get(file.name)
        if before is not None:
            self.anew |= set(before.parts)
        parts = {month: path.relative_to(self.store).as_posix() for month, path in came.parts.items()}
        self.sources[file.name] = SourceEntry(
            digest=digest,
            rules=self.mapping.rules_digest,
            rows_read=came.rows_read,
            rows_kept=came.rows_kept,
            rows_rejected=len(came.rejects),
            duplicate_rows=came.duplicate_rows,
            parts=parts,
        )
        for month, part in parts.items():
            self.came.setdefault(month, []).append(part)
        self.rejects += [(file.name, reject) for reject in came.rejects]

    def _manifest(self, done: Loaded, logs: dict[Path, RemovalLog]) -> Manifest:
        """The manifest as the files alone make it; equal to the known one if nothing is new."""
        # A file set aside now keeps the rows that it gave earlier, if it gave any; it is told in both lists.
        usable = self.usable | {path.as_posix() for path in logs}
        aside = {name: reason for name, reason in self.known.set_aside.items() if name not in usable}
        return attrs.evolve(
            self.known,
            sources=self.sources,
            set_aside=aside | done.set_aside,
            logs=self.known.logs | {path.as_posix(): _log_entry(log) for path, log in logs.items()},
            models=joined_aliases(self.known.models, self.mapping.models),
            failed_means=_failed_means(self.mapping) if self.came else self.known.failed_means,
        )

    def _reduce(self, engine: Engine, manifest: Manifest, logs: dict[Path, RemovalLog]) -> Manifest:
        place = Workplace(engine, self.store, self.generation)
        touched = sorted(set(self.came) | self.anew)
        months = dict(self.known.months)
        for month in touched:
            self.progress.step(f"reducing {month}")
            months.pop(month, None)
            if (entry := self._month(place, month, manifest)) is not None:
                months[month] = entry
        manifest = attrs.evolve(
            manifest,
            generation=self.generation,
            months=dict(sorted(months.items())),
            tables={"rejects": self._rejects(place, logs), "removals": self._removals(place, logs)},
        )
        if not months:
            return attrs.evolve(manifest, checkpoint=None)
        self.progress.step("making lives")
        made, checkpoint = make_lives(place, manifest, touched)
        return attrs.evolve(manifest, tables=manifest.tables | made, checkpoint=checkpoint)

    def _month(self, place: Workplace, month: str, manifest: Manifest) -> MonthEntry | None:
        parts = [entry.parts[month] for entry in self.sources.values() if month in entry.parts]
        if not parts:
            return None
        before = None if month in self.anew else self.known.months.get(month)
        new = parts if before is None else self.came[month]
        return reduce_month(place, month, new=new, parts=parts, before=before, models=manifest.models)

    def _read_now(self) -> set[str]:
        return {name for name, entry in self.sources.items() if entry != self.known.sources.get(name)}

    def _rejects(self, place: Workplace, logs: dict[Path, RemovalLog]) -> str:
        """The rejects of every file as it stands: of those read now, in place of what they had before."""
        now = self._read_now() | {path.as_posix() for path in logs}
        rows = [
            (name, reject.line, reject.column, reject.value, reject.reason) for name, reject in self.rejects
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


def _refuse_if_nothing(done: Loaded, found: Found) -> None:
    """Raise SourceError if files were named and none of them can be used; a removal log alone is enough."""
    if done.files + done.files_unchanged or not (found.files or found.unusable):
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
