"""The text of a file: plain or gz, in the encoding that the mapping names."""

from __future__ import annotations

import codecs
import gzip
import shutil
from contextlib import contextmanager
from typing import TYPE_CHECKING, TextIO, cast

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

BLANKS = " \t\r\n\v\f\u00a0\ufeff"  # what is trimmed from a cell
READ_BY_ENGINE = {"utf-8": "utf-8", "iso8859-1": "latin-1", "utf-16": "utf-16"}


@contextmanager
def open_text(path: Path, encoding: str, *, packed: bool, errors: str = "strict") -> Iterator[TextIO]:
    """Open a file for reading as text; a byte-order mark is passed over, line ends stay as they are."""
    known = "utf-8-sig" if codecs.lookup(encoding).name == "utf-8" else encoding
    with cast(
        "TextIO",
        gzip.open(path, "rt", encoding=known, errors=errors, newline="")
        if packed
        else path.open(encoding=known, errors=errors, newline=""),
    ) as text:
        yield text


@contextmanager
def as_engine_reads(path: Path, encoding: str, aside: Path, *, packed: bool) -> Iterator[tuple[Path, str]]:
    """Give the file as the engine can read it, with the encoding to tell it.

    One in an encoding that the engine does not know is written anew into the folder `aside` for as long as it is read.
    """
    known = READ_BY_ENGINE.get(codecs.lookup(encoding).name)
    if known is not None:
        yield path, known
        return
    decoded = aside / "decoded.csv"
    try:
        with (
            open_text(path, encoding, packed=packed, errors="replace") as text,
            decoded.open("w", encoding="utf-8", newline="") as target,
        ):
            shutil.copyfileobj(text, target)
        yield decoded, "utf-8"
    finally:
        decoded.unlink(missing_ok=True)
