"""Where a load works, and the files that it leaves there."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from reliability.loaders.manifest import WORK
from reliability.loaders.memory import USUAL

if TYPE_CHECKING:
    from collections.abc import Iterable
    from pathlib import Path

    from reliability.loaders.engine import Engine


@dataclass(frozen=True, slots=True)
class Workplace:
    """Where a load works: the engine, the store's folder, the number that its new files carry, and the room it has."""

    engine: Engine
    folder: Path
    generation: int
    rows_at_once: int = USUAL.rows_at_once  # of a table that may lie in memory together

    @property
    def aside(self) -> Path:
        """A folder for stays on their way, which is gone when the load ends."""
        return self.folder / WORK / "stays"

    def files(self, names: Iterable[str]) -> list[Path]:
        """Paths of files that the manifest names."""
        return [self.folder / name for name in names]

    def write(self, table: str, name: str, order: str | None = None) -> str:
        """Write a table as `name-GENERATION.parquet`; the name for the manifest."""
        path = f"{name}-{self.generation}.parquet"
        self.engine.write(table, self.folder / path, order)
        return path

    def adopt(self, file: Path, name: str) -> str:
        """Make a file that lies beside the store `name-GENERATION.parquet` of the store; the name for the manifest."""
        path = f"{name}-{self.generation}.parquet"
        (self.folder / path).parent.mkdir(parents=True, exist_ok=True)
        file.rename(self.folder / path)
        return path
