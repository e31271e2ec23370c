"""A CSV file in blocks of whole lines, so that only one block is in memory at a time."""

from __future__ import annotations

import gzip
from typing import TYPE_CHECKING, BinaryIO, NamedTuple

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

PIECE = 1 << 16  # bytes: hundreds of rows; smaller ones cost more calls than they save careful looks
LINE_FEED = ord("\n")


class Block(NamedTuple):
    """Some lines of a file. The bytes lie in a buffer that the next block overwrites."""

    line: int  # the number of the first, from 1
    lines: int  # how many line feeds
    text: memoryview
    is_plain: bool  # whether each line feed, and nothing else, ends a record

    @property
    def is_small(self) -> bool:
        """Whether it is not worth while to cut it into pieces."""
        return len(self.text) <= 2 * PIECE

    def pieces(self) -> Iterator[Block]:
        """The same lines in small blocks."""
        text = bytes(self.text)
        begin, line = 0, self.line
        while begin < len(text):
            end = text.find(b"\n", begin + PIECE) + 1 or len(text)
            lines = text.count(b"\n", begin, end)
            yield Block(line, lines, memoryview(text)[begin:end], self.is_plain)
            begin, line = end, line + lines


def blocks(path: Path, size: int, *, packed: bool) -> Iterator[Block]:
    """Cut a file into blocks of up to `size` bytes, behind the last line feed of each; the first is the header's line.

    Where a record may end otherwise, within quotes or at a lone carriage return, a block is not plain, and from
    there on it is not known whether a line begins a record.
    """
    if not packed:
        size = min(size, path.stat().st_size + 1)  # one more than there is, to see that it is the end
    buffer = bytearray(size)
    kept, line = 0, 1
    with gzip.open(path) if packed else path.open("rb", buffering=0) as stream:
        while filled := kept + _fill(stream, memoryview(buffer)[kept:]):  # type: ignore[arg-type]  # both read bytes
            is_last = filled < size
            end = _end(buffer, filled, is_header=line == 1, is_last=is_last)
            lines = _line_feeds(buffer, end)
            is_whole = (is_last and line > 1) or buffer[end - 1] == LINE_FEED
            yield Block(line, lines, memoryview(buffer)[:end], is_whole and _is_plain(buffer, end, lines))
            line += lines
            kept = filled - end
            buffer[:kept] = buffer[end:filled]


def _fill(stream: BinaryIO, room: memoryview) -> int:
    """Read until there is no more room, or nothing more to read."""
    filled = 0
    while came := stream.readinto(room[filled:]):  # type: ignore[attr-defined]  # every stream of bytes has it
        filled += came
    return filled


def _end(buffer: bytearray, filled: int, *, is_header: bool, is_last: bool) -> int:
    """Where a block ends; without a line feed in sight, what follows belongs to the same line."""
    if is_header:
        return buffer.find(b"\n", 0, filled) + 1 or filled
    return filled if is_last else buffer.rfind(b"\n", 0, filled) + 1 or filled


def _line_feeds(text: bytearray, end: int) -> int:
    """How many there are; `text.count` takes three times as long."""
    return int(np.count_nonzero(np.frombuffer(text, np.uint8, end) == LINE_FEED))


def _is_plain(text: bytearray, end: int, lines: int) -> bool:
    if text.find(b'"', 0, end) >= 0:
        return False
    if text.find(b"\r", 0, end) < 0:
        return True
    return text.count(b"\r", 0, end) == lines == text.count(b"\r\n", 0, end)
