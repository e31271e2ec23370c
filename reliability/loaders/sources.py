"""Folders, globs, CSV, gz, zip and Parquet become a list of files to read."""

from __future__ import annotations

import glob
import hashlib
import lzma
import os
import shutil
import zipfile
import zlib
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path, PurePosixPath
from typing import TYPE_CHECKING, Literal

from reliability.errors import SourceError

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

Kind = Literal["csv", "csv.gz", "parquet"]
ENDINGS: dict[str, Kind] = {".csv": "csv", ".csv.gz": "csv.gz", ".parquet": "parquet"}
# What opening and reading may end with: also a member that is encrypted, or packed in a way unknown here.
BROKEN = (
    OSError,
    EOFError,
    zipfile.BadZipFile,
    zlib.error,
    lzma.LZMAError,
    RuntimeError,
    NotImplementedError,
)


@dataclass(frozen=True, slots=True)
class SourceFile:
    """One file to read; in a zip, one member of it."""

    name: str  # the path by which the store knows it
    path: Path
    kind: Kind
    size: int  # bytes, for progress
    member: str | None = None

    @property
    def base_name(self) -> str:
        """The last part of the name, where a day may stand."""
        return PurePosixPath(self.name).name

    def digest(self) -> str:
        """SHA-256 of the content. Raises SourceError if it cannot be read to its end."""
        try:
            if self.member is None:
                with self.path.open("rb") as file:
                    return hashlib.file_digest(file, "sha256").hexdigest()
            with zipfile.ZipFile(self.path) as archive, archive.open(self.member) as member:
                return hashlib.file_digest(member, "sha256").hexdigest()  # type: ignore[arg-type]  # it reads into a buffer, too
        except BROKEN as error:
            raise SourceError(f"it cannot be read to its end ({error})") from None

    @contextmanager
    def on_disk(self, aside: Path) -> Iterator[Path]:
        """The path of the file itself, or of the zip member laid out in the folder `aside`."""
        if self.member is None:
            yield self.path
            return
        aside.mkdir(parents=True, exist_ok=True)
        laid_out = aside / f"member.{self.kind}"
        with (
            zipfile.ZipFile(self.path) as archive,
            archive.open(self.member) as file,
            laid_out.open("wb") as target,
        ):
            shutil.copyfileobj(file, target)
        yield laid_out


@dataclass(frozen=True, slots=True)
class Found:
    """What the sources named on the command line come to."""

    files: tuple[SourceFile, ...]
    unusable: tuple[tuple[str, str], ...]  # name, reason


def find_sources(given: Sequence[str]) -> Found:
    """Files, folders (searched to the bottom) and globs, in the order of their names, each file once.

    A name that is no file, folder or matching pattern raises SourceError. In a folder, files with other
    endings are passed over.
    """
    paths: dict[Path, None] = {}
    for name in given:
        paths.update(dict.fromkeys(_paths(name)))
    files: list[SourceFile] = []
    unusable: list[tuple[str, str]] = []
    for path in sorted(paths):
        if (shown := _shown(path)) != path.as_posix():
            unusable.append((shown, "its name is no text in utf-8; give the file another name"))
            continue
        if path.suffix.lower() != ".zip":
            files.append(SourceFile(path.as_posix(), path, _kind(path.name) or "csv", path.stat().st_size))
            continue
        try:
            files += _members(path)
        except BROKEN as error:
            unusable.append((path.as_posix(), f"it is no zip that can be opened ({error})"))
        except SourceError as error:
            unusable.append((path.as_posix(), str(error)))
    return Found(tuple(files), tuple(unusable))


def _paths(name: str) -> list[Path]:
    try:
        return _named(name)
    except OSError as error:
        raise SourceError(f"{name} cannot be looked at: {error.strerror}. Check the path.") from None


def _named(name: str) -> list[Path]:
    path = Path(name)
    if path.is_file():
        return [path.resolve()]
    if path.is_dir():
        found = sorted(
            file.resolve()
            for file in path.rglob("*")
            if file.is_file()
            and _is_data(file.name)
            and not any(part.startswith(".") for part in file.relative_to(path).parts)
        )
        if not found:
            raise SourceError(
                f"The folder {name} holds no file that ends in {', '.join(ENDINGS)} or .zip. Name the folder that does."
            )
        return found
    matches = [Path(match).resolve() for match in glob.glob(name, recursive=True) if Path(match).is_file()]  # noqa: PTH207  (Path.glob takes no absolute pattern)
    if not matches:
        raise SourceError(
            f"{name} is no file, no folder, and no pattern that matches a file. Check the path."
        )
    return [match for match in matches if len(matches) == 1 or _is_data(match.name)]


def _shown(path: Path) -> str:
    """The path as it can be told and stored: what is no text in it stands as the number of its byte."""
    return os.fsencode(path).decode(errors="backslashreplace")


def _kind(name: str) -> Kind | None:
    return next((kind for ending, kind in ENDINGS.items() if name.lower().endswith(ending)), None)


def _is_data(name: str) -> bool:
    return _kind(name) is not None or name.lower().endswith(".zip")


def _members(path: Path) -> list[SourceFile]:
    files = []
    with zipfile.ZipFile(path) as archive:
        for member in sorted(archive.infolist(), key=lambda info: info.filename):
            parts = PurePosixPath(member.filename).parts
            kind = _kind(member.filename)
            if member.is_dir() or kind is None or "__MACOSX" in parts:
                continue
            if ".." in parts or member.filename.startswith("/"):
                raise SourceError(f"its member {member.filename} points out of the archive")
            files.append(
                SourceFile(
                    f"{path.as_posix()}/{member.filename}", path, kind, member.compress_size, member.filename
                )
            )
    if not files:
        raise SourceError(f"it holds no member that ends in {', '.join(ENDINGS)}")
    return files
