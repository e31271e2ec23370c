"""From Python a path may be a text or a Path, and one path needs no list."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from tiny_stores import csv_of, day, put, rows

import reliability as rel

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

LOG = f"serial,date,outcome\nA,{day(9)},retired\n"
MAPPING = '[columns]\nserial = "Name"\n'

WAYS: dict[str, Callable[[Path], str | Path | Iterable[str | Path]]] = {
    "a text": str,
    "a Path": Path,
    "a list of texts": lambda path: [str(path)],
    "a list of Paths": lambda path: [path],
    "a generator": lambda path: (each for each in [path]),
}


@pytest.mark.parametrize("way", WAYS)
@pytest.mark.parametrize("kind", [str, Path])
def test_paths_are_taken_however_they_are_written(
    way: str, kind: Callable[[Path], str | Path], tmp_path: Path
) -> None:
    named = WAYS[way]
    source = put(
        tmp_path / "a.csv", csv_of(rows("A", range(10)), rows("B", range(10))).replace("serial", "Name")
    )
    log = put(tmp_path / "log.csv", LOG)
    mapping = put(tmp_path / "m.toml", MAPPING)
    store = kind(tmp_path / "fleet")
    done = rel.load(named(source), store, mapping=rel.read_mapping(kind(mapping)), removals=named(log))
    assert done.rows_kept == 20
    (model,) = rel.open_store(store).outcomes()
    assert (model.retired, model.in_service) == (1, 1)


def test_a_mapping_saved_with_a_byte_order_mark_is_read(tmp_path: Path) -> None:
    assert rel.read_mapping(put(tmp_path / "m.toml", "\ufeff" + MAPPING)).columns["serial"].column == "Name"
