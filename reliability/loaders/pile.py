"""Stays of one month on a pile: so many that they do not fit into memory together become fewer by being merged."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pyarrow.parquet as pq

from reliability.loaders.memory import give_back
from reliability.loaders.merging import STAYS_A_ROW, merge
from reliability.loaders.stay_columns import AS_STAYS

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    import pyarrow as pa


class Pile:
    """Files of stays of one month; of one stay there may be several rows."""

    def __init__(self, folder: Path, name: str, rows_at_once: int) -> None:
        """Begin without a stay.

        folder, name   of the files
        rows_at_once   of snapshots that memory has room for
        """
        self.files: list[Path] = []
        self._folder, self._name, self._rows_at_once = folder, name, rows_at_once
        self._made = 0  # files
        self._stays = 0
        self._merged = 0  # stays that were left when they were last merged

    def add(self, stays: pa.Table) -> None:
        """Lay some stays on top; merge all, if they are more than fit into memory and have doubled since last time."""
        file = self._next()
        pq.write_table(stays, file, **AS_STAYS)
        self.take([file])

    def take(self, files: Sequence[Path]) -> None:
        """The same with stays that lie in files, which are the pile's from then on."""
        self.files += files
        self._stays += sum(pq.read_metadata(file).num_rows for file in files)
        if self._stays > max(STAYS_A_ROW * self._rows_at_once, 2 * self._merged):
            self._merge()
            give_back()

    def discard(self) -> None:
        """Take the files away."""
        for file in self.files:
            file.unlink()
        self.files = []

    def _merge(self) -> None:
        merged = merge(self.files, self._next(), self._rows_at_once)
        if merged not in self.files:
            self.discard()
        self.files = [merged]
        self._stays = self._merged = pq.read_metadata(merged).num_rows

    def _next(self) -> Path:
        self._folder.mkdir(parents=True, exist_ok=True)
        self._made += 1
        return self._folder / f"{self._name}-{self._made}.parquet"
