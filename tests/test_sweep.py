"""The store says what the slow reader says, drive by drive, for dirty fleets loaded at once and bit by bit."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from sweep import apart

if TYPE_CHECKING:
    from pathlib import Path


@pytest.mark.parametrize("seed", range(8))
def test_a_store_agrees_with_the_slow_reader(seed: int, tmp_path: Path) -> None:
    assert apart(seed, tmp_path) == []
