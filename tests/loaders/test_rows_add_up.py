"""Nothing is dropped in silence: for any cells, records that are not blank = kept + rejected + duplicates.

The records are counted by Python's csv module, the faults found by the slow reader: both are no part of the package.
"""

from __future__ import annotations

import csv
import io
from datetime import UTC, datetime
from typing import TYPE_CHECKING

import pytest
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st
from slow.nouns import RawFile
from slow.reading import read_file
from tiny_stores import loaded, put, rejects, said

from reliability.loaders.engine import Engine
from reliability.loaders.ingest import Ingested, ingest
from reliability.loaders.mapping import OWN_NAMES
from reliability.loaders.sources import find_sources

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence
    from pathlib import Path

COLUMNS = ("date", "serial", "model", "failed", "power_on_hours", "temperature_c", "note")
DATES = (
    "2025-03-01",
    "2025-03-02",
    "2025-02-30",
    "2999-01-01",
    "soon",
    " 2025-03-03\t",
    "",
    "20250301",
    "epoch",
)
NAMES = (
    "A",
    "B",
    " A ",
    "a\nb",
    'say "A"',
    "C\x07",
    "C\x85",
    "\u00a0",
    "D\u2028E",
    "\u3000F",
    "=1+1",
    "é😀",
    "\0",
    "N\0",
)
FLAGS = ("", "0", "1", "TRUE", "no", " Yes ", "dead", "2", "y", "00")
NUMBERS = (
    "",
    "0",
    "12.5",
    "-3",
    "1e5",
    ".5",
    "5.",
    "1_000",
    "0x10",
    "1,5",
    "inf",
    "-Infinity",
    "nan",
    "1e400",
    "many",
    "٣",
)
NOTES = st.text(st.sampled_from("x,;\"\r\n\t \u2028\0é😀#\\'"), max_size=6)
CELLS = (
    st.sampled_from(DATES),
    st.sampled_from(NAMES),
    st.sampled_from(("M", "m", " M", "", "M\n")),
    st.sampled_from(FLAGS),
    st.sampled_from(NUMBERS),
    st.sampled_from(NUMBERS),
    NOTES,
)
RECORD = st.one_of(
    st.tuples(*CELLS).map(list),
    st.tuples(*CELLS).map(list),
    st.tuples(*CELLS).map(list),
    st.lists(NOTES, max_size=9),  # torn; an empty one is a blank line
)
Records = list[list[str]]
GOOD = ["2025-03-01", "A", "M", "0", "1", "20", ""]


@pytest.fixture(scope="module")
def engine() -> Iterator[Engine]:
    found = Engine()
    yield found
    found.close()


def written(records: Records, end: str) -> str:
    text = io.StringIO()
    csv.writer(text, lineterminator=end).writerows([COLUMNS, *records])
    return text.getvalue()


def counted(text: str) -> Records:
    """The records of a text that are not blank, by Python's csv module, without the header."""
    return [record for record in csv.reader(io.StringIO(text, newline="")) if record][1:]


def read(engine: Engine, folder: Path, text: str) -> Ingested:
    put(folder / "a.csv", text)
    (source,) = find_sources([str(folder / "a.csv")]).files
    return ingest(engine, source, OWN_NAMES, folder / "store", "1-0.parquet")


def begins(text: str) -> list[int]:
    """The line on which each record begins, by Python's csv module, without the header."""
    reader = csv.reader(io.StringIO(text, newline=""))
    found, line = [], 1
    for record in reader:
        found += [line] if record else []
        line = reader.line_num + 1
    return found[1:]


@settings(max_examples=80, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(records=st.lists(RECORD, min_size=1, max_size=8), end=st.sampled_from(["\n", "\r\n"]))
@example(records=[["2025-03-01", "a\rb", "M", "", "", "", "\r"], GOOD], end="\n")
@example(records=[[*GOOD[:-1], "\r"], [""], ["soon", *GOOD[1:]]], end="\n")
@example(records=[[], GOOD, [], [""], GOOD[:-1], [*GOOD, "x"]], end="\r\n")
def test_rows_add_up_and_the_faults_are_those_that_the_slow_reader_finds(
    records: Records, end: str, tmp_path: Path, engine: Engine
) -> None:
    text = written([GOOD, *records], end)
    found = read(engine, tmp_path, text)
    there = counted(text)
    assert found.rows_kept + len(found.rejects) + found.duplicate_rows == len(there)
    # delimiters too many at the end of a line are forgiven: many programs write them
    there = [record if any(record[len(COLUMNS) :]) else record[: len(COLUMNS)] for record in there]
    account, _ = read_file(RawFile("a.csv", COLUMNS, _tuples(there)), None, datetime.now(UTC).date())
    lines = begins(text)
    assert [(reject.line, reject.column) for reject in found.rejects] == [
        (lines[rejected.line - 2], rejected.column) for rejected in account.rejected
    ]
    assert (found.rows_kept, found.duplicate_rows) == (account.kept, account.duplicates)


def _tuples(records: Sequence[Sequence[str]]) -> tuple[tuple[str, ...], ...]:
    return tuple(tuple(record) for record in records)


def test_the_accounts_add_up_for_each_file_and_in_total(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    files = {
        "a.csv": [
            GOOD,
            GOOD,
            [],
            ["2025-03-02", "A", "M", "", "", "", ""],
            ["soon", "A", "M", "", "", "", ""],
        ],
        "b.csv": [["2025-03-01", "B", "M", "", "", "", ""], ["x"], ["", *GOOD]],
        "c.csv": [GOOD, ["2025-03-01", "A", " M ", "", "7", "", ""]],
    }
    for name, records in files.items():
        put(tmp_path / "source" / name, written(records, "\n"))
    store = tmp_path / "fleet"
    found = loaded(capsys, store, tmp_path / "source")
    assert found["rows_read"] == 9
    assert (found["rows_kept"], found["rows_rejected"], found["duplicate_rows"]) == (4, 3, 2)
    accounts = said(capsys, "checks", "--store", store, "--format", "json").json
    for name in ("rows_read", "rows_kept", "rows_rejected", "duplicate_rows"):
        assert accounts[name] == found[name]
    assert len(rejects(store)) == 3
