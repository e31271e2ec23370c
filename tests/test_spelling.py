from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from reliability.spelling import folded


@pytest.mark.parametrize(
    "spelling", ["TARN T18", " tarn  t18 ", "Tarn_T18", "TARN - T18", "\uff34ARN\u00a0T18"]
)
def test_spellings_of_one_model_fold_to_one(spelling: str) -> None:
    assert folded(spelling) == "tarn t18"


@pytest.mark.parametrize("other", ["TARNT18", "T18", "TARN T18A", "TARN T 18"])
def test_other_models_stay_others(other: str) -> None:
    assert folded(other) != folded("TARN T18")


@given(st.text())
def test_case_makes_no_difference_to_what_is_folded(text: str) -> None:
    assert folded(folded(text)).split() == folded(text).split()
