"""What belongs to a store; the one atomic commit."""

from __future__ import annotations

import json
import os
import shutil
from contextlib import contextmanager
from typing import TYPE_CHECKING

import attrs
import cattrs

from reliability.errors import StoreError

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

FORMAT = 1
NAME = "manifest.json"
LOCK = ".lock"


@attrs.frozen
class SourceEntry:
    """One file of snapshots that was read."""

    digest: str  # of the content, and of the day in its name where that is read
    rules: str  # digest of the mapping's reading rules
    rows_read: int
    rows_kept: int
    rows_rejected: int
    duplicate_rows: int
    parts: dict[str, str]  # month -> file, from the store's folder


@attrs.frozen
class LogEntry:
    """One removal log that was read."""

    digest: str
    rows_read: int
    rows_kept: int
    rows_rejected: int


@attrs.frozen
class MonthEntry:
    """What a month came to."""

    stays: str
    repeats: str | None
    models: list[str]  # spellings as read


@attrs.frozen
class Checkpoint:
    """Everything carried over from the months up to `through`: later ones are added without reading them again."""

    through: str  # YYYY-MM
    aliases: str  # digest of the alias table it was made with
    tables: dict[str, str]


@attrs.frozen
class Running:
    """A running comparison, fixed at the first report and never changed."""

    start: str
    prior_shape: float
    prior_drive_years: float
    level: float


@attrs.frozen
class Manifest:
    """The store, by name."""

    format: int = FORMAT
    generation: int = 0
    sources: dict[str, SourceEntry] = attrs.field(factory=dict)
    set_aside: dict[str, str] = attrs.field(factory=dict)  # name -> reason
    logs: dict[str, LogEntry] = attrs.field(factory=dict)
    models: dict[str, list[str]] = attrs.field(factory=dict)  # alias key -> spellings
    failed_means: str | None = None  # how the last mapping said that a drive failed, in words
    months: dict[str, MonthEntry] = attrs.field(factory=dict)
    tables: dict[str, str] = attrs.field(factory=dict)  # lives, checks, ... -> file
    checkpoint: Checkpoint | None = None
    running: dict[str, Running] = attrs.field(factory=dict)

    def files(self) -> set[str]:
        """Every file that belongs to the store."""
        named = {part for source in self.sources.values() for part in source.parts.values()}
        for month in self.months.values():
            named |= {month.stays} | ({month.repeats} if month.repeats else set())
        return (
            named
            | set(self.tables.values())
            | set(self.checkpoint.tables.values() if self.checkpoint else ())
        )


def has_store(folder: Path) -> bool:
    """Whether a folder holds a store, of whatever version."""
    return (folder / NAME).exists()


def read_manifest(folder: Path) -> Manifest:
    """The manifest of the store in a folder.

    Raises StoreError if there is none, it cannot be read, or it is of another version.
    """
    path = folder / NAME
    try:
        table = json.loads(path.read_text(encoding="utf-8"))
    except FileNotFoundError:
        raise StoreError(
            f"There is no store in {folder}: it has no {NAME}. Make one with `driveyears load SOURCE --store {folder}`."
        ) from None
    except (OSError, ValueError) as error:
        raise StoreError(
            f"The store in {folder} cannot be read: {NAME}: {error}. Restore it, or load anew into another folder."
        ) from None
    found = table.get("format") if isinstance(table, dict) else None
    if found != FORMAT:
        raise StoreError(
            f"The store in {folder} is of version {found}; this driveyears reads version {FORMAT}. "
            f"Load the files anew into another folder, or use the driveyears that made it."
        )
    try:
        return cattrs.structure(table, Manifest)
    except cattrs.ClassValidationError as error:
        faults = "; ".join(cattrs.transform_error(error))
        raise StoreError(
            f"The store in {folder} cannot be read: {NAME}: {faults}. Restore it, or load anew."
        ) from None


def commit(folder: Path, manifest: Manifest) -> None:
    """Make a manifest the store's, in one step: before it the store is as it was, after it as it says."""
    aside = folder / f".{NAME}.{os.getpid()}.part"
    with aside.open("w", encoding="utf-8") as file:
        json.dump(cattrs.unstructure(manifest), file, indent=1, sort_keys=True)
        file.flush()
        os.fsync(file.fileno())
    aside.replace(folder / NAME)
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def sweep(folder: Path, manifest: Manifest) -> None:
    """Remove what a load that did not end has left, and what the manifest no longer names.

    Only for the holder of the store.
    """
    belongs = manifest.files()
    for path in sorted(folder.rglob("*"), reverse=True):
        name = path.relative_to(folder).as_posix()
        if path.is_dir():
            if not any(path.iterdir()):
                path.rmdir()
        elif (name.endswith(".parquet") and name not in belongs) or name.endswith(".part"):
            path.unlink()


@contextmanager
def held(folder: Path) -> Iterator[None]:
    """Hold the store for writing; the system lets go of it if the process dies.

    A folder made for it is taken away again if no store came to be in it. Raises StoreError, naming the holder,
    if another load holds it.
    """
    import fcntl  # noqa: PLC0415  (not on every system; only writers need it)

    was_there = folder.exists()
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise StoreError(
            f"There can be no store in {folder}: {error.strerror}. Name another folder with --store."
        ) from None
    try:
        with (folder / LOCK).open("a+", encoding="utf-8") as file:
            try:
                fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
            except OSError:
                file.seek(0)
                raise StoreError(
                    f"The store in {folder} is held by another load (process {file.read().strip() or 'unknown'}). "
                    "Wait for it to end, and load again."
                ) from None
            file.truncate(0)
            file.write(str(os.getpid()))
            file.flush()
            yield
    finally:
        if not was_there and not has_store(folder):
            shutil.rmtree(folder, ignore_errors=True)
