"""The columns of stays with their types, in the order of stays.sql, and how they are written."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import pyarrow as pa

from reliability.loaders.columns import COUNTERS

if TYPE_CHECKING:
    from collections.abc import Iterator

LIFETIME_BYTES = ("bytes_written", "bytes_read")
LAST_NAMED = ("rack", "batch")  # of which a stay has the last
TEXT, DAY, COUNT, NUMBER = pa.string(), pa.date32(), pa.int32(), pa.float64()


def _columns() -> Iterator[tuple[str, pa.DataType]]:
    yield from (("serial", TEXT), ("model_read", TEXT), ("site", TEXT), ("month", DAY))
    yield from (("days", COUNT), ("rows", COUNT), ("failed_day", DAY))
    for end in ("first", "highest", "last"):
        yield from ((f"{end}_hours", NUMBER), (f"{end}_hours_day", DAY))
    yield from (("temperature_sum", NUMBER), ("temperature_count", COUNT), ("temperature_highest", NUMBER))
    for name in LIFETIME_BYTES:
        yield from ((f"first_{name}", NUMBER), (f"first_{name}_day", DAY))
        yield from ((f"last_{name}", NUMBER), (f"last_{name}_day", DAY))
    for name in COUNTERS:
        yield from ((f"{name}_from", DAY), (f"{name}_last", NUMBER), (f"{name}_last_day", DAY))
    yield "capacity_tb", NUMBER
    for name in LAST_NAMED:
        yield from ((name, TEXT), (f"{name}_day", DAY))


SCHEMA = pa.schema(list(_columns()))
# A file tells of its columns whether they have any value, but for texts; what has none is not read again.
AS_STAYS: dict[str, Any] = {
    "compression": "zstd",
    "write_statistics": [field.name for field in SCHEMA if field.type != TEXT],
    "use_dictionary": False,
}
