"""Tables of a store in an engine, for one question; what cannot be read is told as what it is."""

from __future__ import annotations

from contextlib import contextmanager
from typing import TYPE_CHECKING

from reliability.errors import StoreError
from reliability.loaders.engine import UNREADABLE, Engine
from reliability.loaders.manifest import read_manifest

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator
    from pathlib import Path

    from reliability.loaders.manifest import Manifest


@contextmanager
def opened_tables(
    folder: Path, manifest: Manifest, names: Iterable[str], *, beside: Engine
) -> Iterator[Engine]:
    """An engine in which tables of the manifest have their names.

    Raises StoreError if a file cannot be read, and if that is because another load has replaced it.
    """
    engine = Engine(beside=beside)
    try:
        for name in names:
            engine.view(name, [folder / manifest.tables[name]])
        yield engine
    except UNREADABLE as error:
        if read_manifest(folder).generation != manifest.generation:
            raise StoreError(
                f"The store in {folder} has been loaded into since it was opened; open it again."
            ) from None
        raise StoreError(
            f"The store in {folder} cannot be read ({str(error).splitlines()[0]}). "
            "Restore it, or load the files anew into another folder."
        ) from None
    finally:
        engine.close()
