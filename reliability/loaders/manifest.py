"""What belongs to a store; the one atomic commit."""

from __future__ import annotations

import json
import os
import re
import shutil
from contextlib import contextmanager, suppress
from dataclasses import asdict, dataclass, field, replace
from typing import TYPE_CHECKING

from reliability.errors import StoreError
from reliability.loaders.shaped import MisshapenError, reader

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from collections.abc import Mapping as Dictionary
    from pathlib import Path

FORMAT = 2
NAME = "manifest.json"
LOCK = ".lock"
WORK = ".work"  # what a load lays aside while it runs
# The store's own files, with the number of the load that wrote them. No other file in its folder is ever removed:
# people make the store where their files are.
OWN = re.compile(
    r"(?:snapshots/month=\d{4}-\d\d/(?P<part>\d+)-\d+"
    r"|(?:stays/month=\d{4}-\d\d/(?:stays|repeats)|carried/[a-z_]+"
    r"|lives|whereabouts|checks|days_collected|removals|rejects)-(?P<table>\d+))\.parquet"
)
FOLDERS = ("carried", "snapshots", "stays")


@dataclass(frozen=True, slots=True)
class SourceEntry:
    """One file of snapshots that was read."""

    digest: str  # of the content, and of the day in its name where that is read
    rules: str  # digest of the mapping's reading rules
    rows_read: int
    rows_kept: int
    rows_rejected: int
    duplicate_rows: int
    # month -> file, from the store's folder; or where it lies, if snapshots are read in place
    parts: dict[str, str]


@dataclass(frozen=True, slots=True)
class LogEntry:
    """One removal log that was read."""

    digest: str
    rows_read: int
    rows_kept: int
    rows_rejected: int


@dataclass(frozen=True, slots=True)
class MonthEntry:
    """What a month came to."""

    stays: str
    repeats: str | None
    models: list[str]  # spellings as read


@dataclass(frozen=True, slots=True)
class Checkpoint:
    """Everything carried over from the months up to `through`: later ones are added without reading them again."""

    through: str  # YYYY-MM
    aliases: str  # digest of the alias table it was made with, and of the columns it has
    tables: dict[str, str]


@dataclass(frozen=True, slots=True)
class Running:
    """A running comparison, fixed at the first report and never changed."""

    start: str  # YYYY-MM-DD: failures and exposure count from this day on
    prior_shape: float
    prior_drive_years: float
    level: float
    stated_rate: float | None = None  # on which the prior was centred, failures per drive-year


@dataclass(frozen=True, slots=True)
class Manifest:
    """The store, by name."""

    format: int = FORMAT
    generation: int = 0
    sources: dict[str, SourceEntry] = field(default_factory=dict)
    set_aside: dict[str, str] = field(default_factory=dict)  # name -> reason
    logs: dict[str, LogEntry] = field(default_factory=dict)
    models: dict[str, list[str]] = field(default_factory=dict)  # alias key -> spellings
    retired: dict[str, list[str]] = field(default_factory=dict)  # preemptive, planned -> words of reasons
    # How snapshots are read that stay where they lie: digest of the rules -> the rules. Empty: the store holds its own.
    read_in_place: dict[str, dict[str, object]] = field(default_factory=dict)
    failed_means: str | None = None  # how the last mapping said that a drive failed, in words
    months: dict[str, MonthEntry] = field(default_factory=dict)
    tables: dict[str, str] = field(default_factory=dict)  # lives, checks, ... -> file
    checkpoint: Checkpoint | None = None
    running: dict[str, Running] = field(default_factory=dict)  # model as shown then
    looks: str | None = None  # quarters at whose ends looks were planned, YYYYQn-YYYYQn

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
    except NotADirectoryError:
        raise StoreError(f"{folder} is a file, and a store is a folder; name one with --store.") from None
    except (OSError, ValueError) as error:
        raise unreadable(folder, str(error)) from None
    found = table.get("format") if isinstance(table, dict) else None
    if found != FORMAT:
        raise StoreError(
            f"The store in {folder} is of version {found}; this driveyears reads version {FORMAT}. "
            f"Load the files anew into another folder, or use the driveyears that made it."
        )
    try:
        manifest: Manifest = reader(Manifest)(table)
    except MisshapenError as error:
        raise unreadable(folder, str(error)) from None
    return manifest


def unreadable(folder: Path, why: str) -> StoreError:
    """Say what is wrong with the manifest of the store in a folder, and what to do."""
    return StoreError(
        f"The store in {folder} cannot be read: {NAME}: {why}. Restore it, or load anew into another folder."
    )


def commit(folder: Path, manifest: Manifest) -> None:
    """Make a manifest the store's, in one step: before it the store is as it was, after it as it says."""
    aside = folder / f".{NAME}.{os.getpid()}.part"
    with aside.open("w", encoding="utf-8") as file:
        json.dump(asdict(manifest), file, indent=1, sort_keys=True)
        file.flush()
        os.fsync(file.fileno())
    aside.replace(folder / NAME)
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def fix_running(folder: Path, wanted: Dictionary[str, Running]) -> Manifest:
    """Fix running comparisons for good, and say how the store stands then.

    A model that has one keeps it, whoever fixed it first. Raises StoreError if the store is held, or cannot be
    written to.
    """
    with held(folder):
        manifest = read_manifest(folder)
        fixed = {**wanted, **manifest.running}
        if fixed == manifest.running:
            return manifest
        return _kept(folder, replace(manifest, running=fixed))


def fix_looks(folder: Path, looks: str) -> str:
    """Fix at which looks a store is to be judged, and say which are fixed: those of whoever came first.

    Raises StoreError if the store is held, or cannot be written to.
    """
    with held(folder):
        manifest = read_manifest(folder)
        return manifest.looks or _kept(folder, replace(manifest, looks=looks)).looks or looks


def _kept(folder: Path, manifest: Manifest) -> Manifest:
    try:
        commit(folder, manifest)
    except OSError as error:
        raise StoreError(
            f"The store in {folder} cannot be written to: {error.strerror}. Give it room, or the right to write."
        ) from None
    return manifest


def own_generation(folder: Path, path: Path) -> int | None:
    """The number of the load that wrote this file of the store in `folder`; None if it is another file."""
    if not path.is_relative_to(folder):
        return None
    found = OWN.fullmatch(path.relative_to(folder).as_posix())
    return None if found is None else int(found["part"] or found["table"])


def sweep_unfinished(folder: Path, manifest: Manifest) -> None:
    """Remove what a load that did not end has left.

    Only for the holder of the store. A load has its folder of work from its beginning to its end; without one there is
    nothing to look for among all the files of the store.
    """
    for path in folder.glob(f".{NAME}.*.part"):
        path.unlink()
    if (folder / WORK).exists():
        _remove(folder, lambda _, generation: generation > manifest.generation)
        shutil.rmtree(folder / WORK, ignore_errors=True)


def sweep_replaced(folder: Path, before: Manifest, now: Manifest) -> None:
    """Remove what neither a manifest nor the one before it names.

    So whoever opened the store just before a load goes on reading it as it was. Only for the holder of the store, when
    its load ends.
    """
    belongs = before.files() | now.files()
    _remove(folder, lambda name, _: name not in belongs)
    shutil.rmtree(folder / WORK, ignore_errors=True)


@contextmanager
def laid_aside(folder: Path, name: str) -> Iterator[Path]:
    """A folder for what is laid out on the way into the store under some name, gone again afterwards.

    Whoever has something to lay out makes it: most files have nothing.
    """
    aside = folder / WORK / "aside" / name
    try:
        yield aside
    finally:
        if aside.exists():
            shutil.rmtree(aside)


def _remove(folder: Path, is_done_with: Callable[[str, int], bool]) -> None:
    """Remove files of the store by name and generation, and its folders that are empty then."""
    inner = [path for name in FOLDERS for path in sorted((folder / name).rglob("*"), reverse=True)]
    for path in (*folder.glob("*.parquet"), *inner):
        generation = own_generation(folder, path)
        if generation is not None and is_done_with(path.relative_to(folder).as_posix(), generation):
            path.unlink()
    for path in (*inner, *(folder / name for name in FOLDERS)):
        if path.is_dir() and not any(path.iterdir()):
            path.rmdir()


@contextmanager
def held(folder: Path) -> Iterator[None]:
    """Hold the store for writing; the system lets go of it if the process dies.

    A folder made for it is taken away again if no store came to be in it. Raises StoreError, naming the holder,
    if another load holds it.
    """
    import fcntl  # noqa: PLC0415  (not on every system; only writers need it)

    made = [place for place in (folder, *folder.parents) if not place.exists()]
    try:
        folder.mkdir(parents=True, exist_ok=True)
        lock = (folder / LOCK).open("a+", encoding="utf-8")
    except OSError as error:
        raise StoreError(
            f"There can be no store in {folder}: {error.strerror}. Name another folder with --store."
        ) from None
    with lock:
        try:
            fcntl.flock(lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except OSError:
            lock.seek(0)
            raise StoreError(
                f"The store in {folder} is held by another load (process {lock.read().strip() or 'unknown'}). "
                "Wait for it to end, and load again."
            ) from None
        lock.truncate(0)
        lock.write(str(os.getpid()))
        lock.flush()
        try:
            yield
        finally:
            if not has_store(folder):
                (folder / LOCK).unlink(missing_ok=True)
                with suppress(OSError):  # what others have put there meanwhile stays
                    for place in made:
                        place.rmdir()
