"""Runs of neighbours against a plain look at each row of each run."""

from __future__ import annotations

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from reliability.loaders.runs import Runs


@given(st.lists(st.lists(st.booleans(), min_size=1, max_size=5), min_size=1, max_size=8))
def test_the_first_and_the_last_row_with_a_flag_are_those_that_a_look_at_each_finds(
    runs: list[list[bool]],
) -> None:
    numbers = np.repeat(np.arange(len(runs)), [len(run) for run in runs])
    flags = np.array([flag for run in runs for flag in run])
    found = Runs.of(numbers)
    places = [
        [at for at in range(len(flags)) if numbers[at] == number and flags[at]] for number in range(len(runs))
    ]
    assert found.first(flags).tolist() == [at[0] if at else -1 for at in places]
    assert found.last(flags).tolist() == [at[-1] if at else -1 for at in places]
    assert found.lengths.tolist() == [len(run) for run in runs]
