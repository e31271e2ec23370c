"""Numbers that wait in fewer bytes stay the numbers they were."""

from __future__ import annotations

import math

import pyarrow as pa
import pytest
from hypothesis import given
from hypothesis import strategies as st

from reliability.loaders.narrow import joined, narrowed

NUMBERS = st.one_of(
    st.none(),
    st.sampled_from((0.0, 127.0, 128.0, -129.0, 32_768.0, 2.0**31, -(2.0**31), 2.0**53 + 2, 0.5, 1e300)),
    st.integers(-300, 300).map(float),
    st.floats(allow_nan=False, allow_infinity=False),
)


def column(numbers: list[float | None]) -> pa.ChunkedArray:
    return pa.chunked_array([pa.array(numbers, pa.float64())])


@pytest.mark.parametrize(
    ("numbers", "kind"),
    [
        ([0.0, -128.0, 127.0], pa.int8()),
        ([None, None], pa.int8()),
        ([0.0, 128.0, None], pa.int16()),
        ([40_000.0], pa.int32()),
        ([2.0**31], pa.float64()),
        ([1.0, 0.5], pa.float64()),
    ],
)
def test_whole_numbers_take_as_few_bytes_as_hold_them(numbers: list[float | None], kind: pa.DataType) -> None:
    assert narrowed(column(numbers)).type == kind


@given(st.lists(st.lists(NUMBERS, min_size=1, max_size=6), min_size=1, max_size=5))
def test_narrowed_and_joined_again_numbers_are_the_same(lists: list[list[float | None]]) -> None:
    tables = [pa.table({"number": narrowed(column(numbers))}) for numbers in lists]
    back = joined(tables)["number"].cast(pa.float64()).to_pylist()
    assert back == [number for numbers in lists for number in numbers]
    assert all(number is None or number != 0 or math.copysign(1, number) == 1 for number in back)
