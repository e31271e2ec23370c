"""The text of a file: plain or gz, in the encoding that the mapping names."""

from __future__ import annotations

import codecs
import gzip
import zlib
from contextlib import contextmanager
from typing import TYPE_CHECKING, TextIO, cast

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

# What is trimmed from a cell: every sign that Unicode calls a space, and the byte-order mark.
BLANKS = (
    " \t\r\n\v\f\x1c\x1d\x1e\x1f\x85\u00a0\u1680"
    "\u2000\u2001\u2002\u2003\u2004\u2005\u2006\u2007\u2008\u2009\u200a"
    "\u2028\u2029\u202f\u205f\u3000\ufeff"
)
# A text that may need trimming, or cannot stand as it is: empty, a space at an end, a control character.
RAGGED = r"^$|^[\p{Z}\x{feff}]|[\p{Z}\x{feff}]$|\p{Cc}"
BROKEN = (OSError, EOFError, zlib.error, UnicodeError)  # what reading a file as text may end with
UNDECODED = "\ufffd"  # stands where a byte is not of the encoding
BLOCK = 1 << 20  # characters
READ_BY_ENGINE = {"utf-8": "utf-8", "iso8859-1": "latin-1", "utf-16": "utf-16"}


@contextmanager
def open_text(
    path: Path, encoding: str, *, packed: bool, errors: str = "strict", newline: str | None = ""
) -> Iterator[TextIO]:
    """Open a file for reading as text; a byte-order mark is passed over, line ends stay as they are.

    newline   None makes all line ends one kind
    """
    known = "utf-8-sig" if codecs.lookup(encoding).name == "utf-8" else encoding
    with cast(
        "TextIO",
        gzip.open(path, "rt", encoding=known, errors=errors, newline=newline)
        if packed
        else path.open(encoding=known, errors=errors, newline=newline),
    ) as text:
        yield text


def check_packing(path: Path) -> None:
    """Unpack a gz file to its end, for its checksum: the engine does not compare it. Raises one of BROKEN."""
    with gzip.open(path) as packed:
        while packed.read(BLOCK):
            pass


def has_mixed_line_ends(path: Path, encoding: str, *, packed: bool) -> bool:
    """Whether line feeds, carriage returns and pairs of them stand in one file, within quotes or without."""
    with open_text(path, encoding, packed=packed, errors="replace", newline=None) as text:
        while text.read(BLOCK):
            pass
        return isinstance(text.newlines, tuple)


def as_engine_reads(path: Path, encoding: str, aside: Path, *, packed: bool) -> tuple[Path, str]:
    """Give the file as the engine can read it, with the encoding to tell it.

    One in an encoding that the engine does not know is written anew into the folder `aside`, and what does not
    decode so that the engine will refuse it too.
    """
    known = READ_BY_ENGINE.get(codecs.lookup(encoding).name)
    if known is not None:
        return path, known
    return written_anew(path, encoding, aside, packed=packed, newline=""), "utf-8"


def written_anew(path: Path, encoding: str, aside: Path, *, packed: bool, newline: str | None) -> Path:
    """Write a file anew in utf-8; what did not decode is none there either."""
    aside.mkdir(parents=True, exist_ok=True)
    anew = aside / "anew.csv"
    with (
        open_text(path, encoding, packed=packed, errors="replace", newline=newline) as text,
        anew.open("wb") as target,
    ):
        while block := text.read(BLOCK):
            target.write(block.encode().replace(UNDECODED.encode(), b"\xff"))
    return anew
