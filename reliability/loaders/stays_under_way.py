"""The stays of the parts of one load on their way into the store: in files, or in rows that are yet to be summed up."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from reliability.loaders.month_stays import stays_of
from reliability.loaders.narrow import joined
from reliability.loaders.order import in_order
from reliability.loaders.pile import Pile
from reliability.loaders.rows_at_hand import RowsAtHand
from reliability.loaders.side_by_side import Beside
from reliability.loaders.stored_rows import rows_of

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence
    from pathlib import Path

    import pyarrow as pa


class StaysUnderWay:
    """What is known of the parts so far. While they come in, rows are summed up `beside`, which has to be entered."""

    def __init__(self, folder: Path, rows_at_once: int) -> None:
        """Begin with no part.

        folder         for the files
        rows_at_once   how many rows are put in order together, and those of one file more
        """
        self.beside = Beside()
        self._folder, self._rows_at_once = folder, rows_at_once
        self._at_hand = RowsAtHand(rows_at_once)
        self._piles: dict[str, Pile] = {}
        self._known: set[Path] = set()  # parts whose stays are on the pile of their month

    def add_stays(self, month: str, part: Path, files: Sequence[Path]) -> None:
        """Note the files of the stays of a part; they are taken over."""
        self._known.add(part)
        self.beside.do(partial(self._pile(month).take, files))

    def add_rows(self, month: str, part: Path, rows: pa.Table) -> None:
        """Note the rows of a part, in which drives have few; of too many at hand, those of a month are summed up."""
        self._at_hand.add(month, part, rows)
        if (fullest := self._at_hand.fullest()) is not None:
            waiting = self._at_hand.take(fullest)
            self._known |= waiting.keys()
            self.beside.do(partial(self._sum_up, fullest, [list(waiting.values())]))

    def files_of(self, month: str, parts: Sequence[Path]) -> list[Path]:
        """Files of the stays of these parts of a month; those that are not known yet are read from the store."""
        if waiting := self._at_hand.take(month):
            self._known |= waiting.keys()
            self._sum_up(month, [list(waiting.values())])
        unknown = [part for part in parts if part not in self._known]
        self._sum_up(month, rows_of(unknown, self._rows_at_once))
        return self._pile(month).files

    def _sum_up(self, month: str, turns: Iterable[list[pa.Table]]) -> None:
        """Put the stays of a month's rows on its pile, of so many at a time as come together."""
        for tables in turns:
            self._pile(month).add(stays_of(in_order(joined(tables))))

    def _pile(self, month: str) -> Pile:
        return self._piles.setdefault(month, Pile(self._folder, month, self._rows_at_once))
