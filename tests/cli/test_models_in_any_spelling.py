"""A model is found by any spelling that the store takes for its name, whichever command is asked."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from tiny_stores import GOOD, loaded, put, said

if TYPE_CHECKING:
    from pathlib import Path

ARRAY = ("--drives", "4", "--parity", "1", "--capacity-tb", "1", "--mb-per-s", "100", "--error-rate", "1e-15")
QUESTIONS = {
    "survival": (),
    "rank": (),
    "signals": (),
    "forecast": (),
    "plan": ("--stated-afr", "1"),
    "rebuild": ARRAY,
}


@pytest.mark.parametrize(("command", "more"), QUESTIONS.items(), ids=list(QUESTIONS))
def test_case_spaces_and_hyphens_make_no_difference(
    command: str, more: tuple[str, ...], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    loaded(capsys, tmp_path / "fleet", put(tmp_path / "a.csv", GOOD))
    asked = [
        said(capsys, command, "--model", name, *more, "--store", tmp_path / "fleet", "--format", "json")
        for name in ("TARN T18", "tarn_t18")
    ]
    assert [each.code for each in asked] == [0, 0], asked[1].err
    assert asked[0].out == asked[1].out
