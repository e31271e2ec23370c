from __future__ import annotations

import os
from typing import TYPE_CHECKING

from reliability.cli.process import answer_once

if TYPE_CHECKING:
    import pytest

ASKED = ("ARROW_DEFAULT_MEMORY_POOL", "OPENBLAS_NUM_THREADS")


def test_libraries_are_asked_for_little(monkeypatch: pytest.MonkeyPatch) -> None:
    for name in ASKED:
        monkeypatch.setenv(name, "")
        monkeypatch.delenv(name)
    answer_once()
    assert [os.environ[name] for name in ASKED] == ["system", "1"]


def test_what_the_environment_asks_for_goes_before(monkeypatch: pytest.MonkeyPatch) -> None:
    for name in ASKED:
        monkeypatch.setenv(name, "2")
    answer_once()
    assert [os.environ[name] for name in ASKED] == ["2", "2"]
