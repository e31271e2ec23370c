"""With less memory a load takes smaller steps, and comes to the same store."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from tiny_stores import csv_of, everything, put, rejects, rows

from reliability.errors import QuestionError
from reliability.loaders import reduce
from reliability.loaders.load import load
from reliability.loaders.memory import USUAL, Memory, memory_of

if TYPE_CHECKING:
    from pathlib import Path


def test_small_steps_come_to_the_same_store(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    gone = [
        rows(f"S{number}", (*range(number, 90), *range(90 + 6 * number, 270 - 9 * number)))
        for number in range(8)
    ]
    text = csv_of(*gone, rows("S9", range(200), failed={199: "1"}))
    put(tmp_path / "source" / "a.csv", text + "2025-03-01,,TARN T18\n")
    stores = {}
    for name, memory, stays in (("usual", USUAL, 1 << 18), ("small", Memory(100, 900, 200), 20)):
        monkeypatch.setattr(reduce, "STAYS_AT_ONCE", stays)
        load([str(tmp_path / "source")], tmp_path / name, memory=memory)
        stores[name] = everything(tmp_path / name) | {"rejects": list(map(str, rejects(tmp_path / name)))}
    assert stores["small"] == stores["usual"]
    assert len(stores["usual"]["lives"]) > 9  # some were cut by a gap
    assert stores["usual"]["rejects"]


def test_more_memory_gives_larger_shares() -> None:
    small, large = memory_of("500MB"), memory_of(" 2 gb")
    assert small == Memory.of(500)
    assert large == Memory.of(2_000)
    assert small.rows_at_once < large.rows_at_once
    assert small.block_bytes <= large.block_bytes
    assert (small.engine_megabytes or 0) < 500


@pytest.mark.parametrize("text", ["500", "half", "-1GB", "500 KB", "1.5.2GB", ""])
def test_what_is_no_size_is_refused(text: str) -> None:
    with pytest.raises(QuestionError, match="is no size of memory; write it as 500MB or 2GB"):
        memory_of(text)


def test_too_little_is_refused() -> None:
    with pytest.raises(QuestionError, match="needs 500 MB of memory or more, not 499 MB"):
        memory_of("499MB")
