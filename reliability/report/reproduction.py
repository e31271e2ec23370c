"""What it takes to make the same report again: the command, the version, a digest of every source file."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from importlib.metadata import PackageNotFoundError, version
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from reliability.loaders.accounts import SourceAccount


@dataclass(frozen=True, slots=True)
class Reproduction:
    """The same command, version and sources give the same bytes."""

    command: str
    version: str | None  # None where the package runs from its source folder
    sources: tuple[SourceAccount, ...]
    digest: str  # of all sources together


def reproduction(command: str, sources: tuple[SourceAccount, ...]) -> Reproduction:
    """Note what was run on what."""
    try:
        installed: str | None = version("driveyears")
    except PackageNotFoundError:
        installed = None
    return Reproduction(command, installed, sources, digest_of(sources))


def digest_of(sources: tuple[SourceAccount, ...]) -> str:
    """Take the SHA-256 of the lines `digest  name` of all sources; sorted, so their order is no matter."""
    lines = sorted(f"{source.digest}  {source.name}\n" for source in sources)
    return hashlib.sha256("".join(lines).encode()).hexdigest()
