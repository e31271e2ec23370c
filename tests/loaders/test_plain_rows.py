"""Lines that are typed as a whole and lines that are read cell by cell come to the same rows and the same rejects."""

from __future__ import annotations

import gzip
from typing import TYPE_CHECKING

import pyarrow.parquet as pq
import pytest
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st

from reliability.errors import SourceError
from reliability.loaders import blocks
from reliability.loaders.engine import Engine
from reliability.loaders.ingest import ingest
from reliability.loaders.mapping import OWN_NAMES, ExtraRule, FailedRule, FileRule, Mapping
from reliability.loaders.memory import USUAL, Memory
from reliability.loaders.plain_rows import PlainForm
from reliability.loaders.sources import find_sources

if TYPE_CHECKING:
    from pathlib import Path

HEADER = "date,serial,model,failed,power_on_hours,temperature_c,site,note"
PLAIN = ("2025-03-01", "S1", "TARN T18", "0", "24", "31.5", "hall 1", "x")
ODD = (
    (
        "2025-03-02",
        "2025-3-1",
        "2025-04-30",
        "epoch",
        "infinity",
        "0999-12-31",
        "2999-01-01",
        "1970-01-01",
        "",
        " 2025-03-03",
    ),
    ("S2", " S2", "S2\t", "", "S\x07", '"S2"', 'S"2', "\u3000S2", "é", "S\0"),
    ("TARN T19", "", " ", '"TARN, T"', "TARN\u00a0", "x\ry"),
    ("1", "", "yes", "no", "dead", " 0", "TRUE", "2"),
    (
        "25",
        "",
        "-1",
        "1e5",
        "1e400",
        "nan",
        "1_000",
        "+5",
        " 5",
        "5.",
        "0x1",
        "24.5",
        "300",
        "9007199254740993",
    ),
    ("0", "", "inf", "-inf", "n/a", "1,5", "-0"),
    ("", "hall 2", " hall", "\u200a", "é"),
    ("", "y", " ", "\udcff"),
)
CELLS = [st.sampled_from((usual,) * 12 + odd) for usual, odd in zip(PLAIN, ODD, strict=True)]
LINES = st.one_of(
    st.tuples(*CELLS).map(",".join),
    st.tuples(*CELLS).map(",".join),
    st.sampled_from(("", " ", "2025-03-01,S3", ",".join((*PLAIN, "more")), '2025-03-01,"S4', "\r")),
)
MAPPINGS = (
    OWN_NAMES,
    Mapping(failed=FailedRule("failed", ["dead", "1"]), extra=ExtraRule(["note"])),
    Mapping(FileRule(delimiter=";", decimal=",")),
)
WITH_COMMAS = str.maketrans(",.;", ";,.")


def text_of(lines: list[str], end: str, mapping: Mapping = OWN_NAMES) -> bytes:
    text = end.join([HEADER, *lines])
    text = text.translate(WITH_COMMAS) if mapping.file.decimal == "," else text
    return text.encode("utf-8", "surrogateescape")


def come_to(folder: Path, name: str, mapping: Mapping, memory: Memory = USUAL) -> tuple[object, ...]:
    """What a file comes to: its counts, rejects, and the rows of its parts in words; or why it is set aside."""
    (source,) = find_sources([str(folder / name)]).files
    engine = Engine()
    try:
        came = ingest(engine, source, mapping, folder / "store", "1-0.parquet", memory)
    except SourceError as error:
        return (str(error),)
    finally:
        engine.close()
    rows = [str(row) for part in came.parts.values() for row in pq.read_table(part).to_pylist()]
    return came.rows_kept, came.duplicate_rows, came.rejects, sorted(rows)


@settings(max_examples=80, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.lists(LINES, min_size=1, max_size=30), st.sampled_from(("\n", "\r\n")), st.sampled_from(MAPPINGS))
@example([",".join(PLAIN), ",".join((*PLAIN[:4], "n/a", *PLAIN[5:])), "", ",".join(PLAIN)], "\n", OWN_NAMES)
@example([",".join(PLAIN)] * 9 + ['2025-03-01,"S\n4",T'] + [",".join(PLAIN)] * 3, "\n", OWN_NAMES)
def test_plain_and_careful_reading_come_to_the_same(
    tmp_path_factory: pytest.TempPathFactory, lines: list[str], end: str, mapping: Mapping
) -> None:
    folder = tmp_path_factory.mktemp("plain")
    (folder / "a.csv").write_bytes(text_of(lines, end, mapping))
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(blocks, "PIECE", 60)
        came = come_to(folder, "a.csv", mapping, Memory(5, 400, None))
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(PlainForm, "is_possible", property(lambda _: False))
        right = come_to(folder, "a.csv", mapping)
    assert came == right


def test_a_packed_file_that_is_cut_short_is_set_aside_and_leaves_nothing(tmp_path: Path) -> None:
    lines = [",".join(PLAIN[:1]) + f",S{number}" + "," + ",".join(PLAIN[2:]) for number in range(40_000)]
    packed = gzip.compress(text_of(lines, "\n"))
    (tmp_path / "a.csv.gz").write_bytes(packed[: len(packed) // 2])
    (reason,) = come_to(tmp_path, "a.csv.gz", OWN_NAMES, Memory(1000, 1 << 16, None))
    assert "it cannot be read" in str(reason)
    assert not list((tmp_path / "store").rglob("*.parquet"))  # neither parts nor their stays
