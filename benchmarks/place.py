"""Where a measurement takes place: the folder, the size, and the data made there once and shared by the cases."""

from __future__ import annotations

import shutil
from dataclasses import dataclass
from typing import TYPE_CHECKING

from benchmarks.measure import DRIVEYEARS, Run, module, run

if TYPE_CHECKING:
    from pathlib import Path


@dataclass(frozen=True, slots=True)
class Size:
    """How much is measured, and how often; rows are about 345 a drive for a fleet of 430 days."""

    name: str
    drives: int  # of the fleet that is loaded
    few_drives: int  # of the smaller one, for memory against size
    years: tuple[int, ...]  # ages of the stores that a new day comes into
    lives: int  # of the models that are fitted
    models: int  # of these
    repeats: int


FULL = Size("full", 33_000, 2_900, (1, 3, 5), 1_000_000, 100, 3)
SMALL = Size("small", 2_900, 725, (1, 2), 100_000, 30, 3)
TINY = Size("tiny", 120, 60, (1, 2), 2_000, 5, 1)  # for a test that all cases run


@dataclass(frozen=True, slots=True)
class Place:
    """A folder to work in. What is made there has a name by its kind, so that it is made once."""

    folder: Path
    size: Size

    def fleet(self, drives: int | None = None, *options: str) -> Path:
        """The folder of CSV files of a fleet, one a month; options are those of the generator."""
        number = drives or self.size.drives
        folder = self.folder / "-".join(["fleet", str(number), *(text.strip("-") for text in options)])
        if not folder.exists():
            run(*module("fleet", folder, "--drives", str(number), *options))
        return folder

    def store(self, fleet: Path | None = None) -> Path:
        """The fleet loaded, or another one."""
        source = fleet or self.fleet()
        store = self.folder / f"store-of-{source.name}"
        if not store.exists():
            run(*DRIVEYEARS, "load", source, "--store", store)
        return store

    def fresh(self, name: str) -> Path:
        """Give a path at which nothing is yet."""
        path = self.folder / name
        if path.is_file():
            path.unlink()
        shutil.rmtree(path, ignore_errors=True)
        return path

    def load_anew(self, source: Path) -> Run:
        """Load a source into a store that does not exist yet."""
        return run(*DRIVEYEARS, "load", source, "--store", self.fresh("loaded"))
