"""Lint, layout of the code and types, by the tools that pyproject.toml tells how."""

from __future__ import annotations

import pytest
from fresh_python import fresh_python


@pytest.mark.parametrize("command", ["ruff check", "ruff format --check", "mypy"])
def test_the_code_is_in_order(command: str) -> None:
    assert fresh_python("-m", *command.split())
