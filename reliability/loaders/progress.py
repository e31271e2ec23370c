"""Who wants to know how a load goes on."""

from __future__ import annotations

from typing import Protocol


class Progress(Protocol):
    """Told by a load, as it goes on."""

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
