"""The lines of a CSV file sorted by their kind: plain rows go into the parts at once, the others are laid aside."""

from __future__ import annotations

from typing import TYPE_CHECKING

from reliability.errors import SourceError
from reliability.loaders.blocks import Block, blocks
from reliability.loaders.odd_lines import OddLines
from reliability.loaders.plain_rows import PlainForm, plain_rows
from reliability.loaders.text import BROKEN

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from reliability.loaders.parts import Parts


def add_plain_lines(  # noqa: PLR0913  (from where, as what, to where)
    path: Path, form: PlainForm, parts: Parts, aside: Path, *, packed: bool, block_bytes: int
) -> OddLines | None:
    """Put the plain rows of a file into its parts; the lines among which anything is odd are returned.

    None: from its beginning on it cannot be told where a record ends, and nothing was put into the parts.

    Raises SourceError, its text a reason, if the file cannot be read to its end.
    """
    lines = _readable(blocks(path, block_bytes, packed=packed))
    header = next(lines)
    if not header.is_plain:
        return None
    odd = OddLines(aside / "odd.csv", bytes(header.text))
    is_cut = True  # into records by its lines
    for block in lines:
        is_cut = is_cut and block.is_plain
        if is_cut:
            _sort(block, form, parts, odd)
        elif parts.rows or odd:
            odd.add(block.text, block.line, block.lines)
        else:
            return None
    return odd


def _readable(lines: Iterator[Block]) -> Iterator[Block]:
    """The same blocks; only what goes wrong in reading them is the file's fault, and not what becomes of them."""
    while True:
        try:
            block = next(lines)
        except StopIteration:
            return
        except BROKEN as error:
            raise SourceError(f"it cannot be read ({error})") from None
        yield block


def _sort(block: Block, form: PlainForm, parts: Parts, odd: OddLines) -> None:
    """Find the lines among which anything is odd, in small pieces of the block."""
    rows = plain_rows(block.text, form)
    if rows is not None:
        parts.add(rows)
    elif block.is_small:
        odd.add(block.text, block.line, block.lines)
    else:
        for piece in block.pieces():
            _sort(piece, form, parts, odd)
