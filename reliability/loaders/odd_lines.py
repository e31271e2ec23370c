"""The lines of a file that have to be read with care, as a small file of their own that knows where each came from."""

from __future__ import annotations

from bisect import bisect_right
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from pathlib import Path


class OddLines:
    """Lines laid aside under the header of their file."""

    def __init__(self, path: Path, header: bytes) -> None:
        self.path = path
        self._header = header
        self._lines = 1
        self._here: list[int] = []  # the line here at which a run of lines begins
        self._there: list[int] = []  # and the line that it was in its file

    def __bool__(self) -> bool:
        """Whether there are any."""
        return bool(self._here)

    def add(self, text: bytes | memoryview, line: int, lines: int) -> None:
        """Lay some lines aside: the number of the first in its file, and how many they are."""
        self.path.parent.mkdir(parents=True, exist_ok=True)
        with self.path.open("ab") as aside:
            if not self:
                aside.write(self._header)
            aside.write(text)
        self._here.append(self._lines + 1)
        self._there.append(line)
        self._lines += lines

    def line_of(self, line: int) -> int:
        """The line in its file of a line here."""
        run = bisect_right(self._here, line) - 1
        return line if run < 0 else self._there[run] + line - self._here[run]
