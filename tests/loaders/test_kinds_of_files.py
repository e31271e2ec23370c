"""The same rows give the same lives, whatever kind of file they stand in, and whatever it calls them."""

from __future__ import annotations

import gzip
import io
import zipfile
from datetime import UTC, date, datetime, timedelta
from typing import TYPE_CHECKING, Any

import pyarrow as pa
import pyarrow.parquet as pq
import pytest
from tiny_stores import FIRST, csv_of, day, everything, lives, loaded, put, refused, rejects, rows, table

from reliability.loaders.engine import Engine
from reliability.loaders.ingest import ingest
from reliability.loaders.mapping import OWN_NAMES, FileRule, Mapping, read_mapping
from reliability.loaders.sources import find_sources

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

HISTORY = rows("101", range(6), failed={5: "1"}, power_on_hours={2: "72", 4: "120.5"}, site="quay") + rows(
    "102", range(1, 9), failed="0", power_on_hours="", site=""
)
PLAIN = csv_of(HISTORY)


def zipped(name: str, content: str | bytes) -> bytes:
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr(name, content)
        archive.writestr("notes/readme.txt", "not read")
        archive.writestr("__MACOSX/._a.csv", "not read")
    return packed.getvalue()


def parquet(**other: Any) -> bytes:  # noqa: ANN401  (whatever a column may hold)
    """The history as Parquet, text but for some columns."""
    columns = {name: [row[name] for row in HISTORY] for name in HISTORY[0]} | other
    out = io.BytesIO()
    pq.write_table(pa.table(columns), out)
    return out.getvalue()


DAYS = [date.fromisoformat(row["date"]) for row in HISTORY]
LATE = [datetime(d.year, d.month, d.day, 23, 59, tzinfo=UTC) for d in DAYS]
FAILED = [row["failed"] == "1" for row in HISTORY]
HOURS = [float(row["power_on_hours"]) if row["power_on_hours"] else None for row in HISTORY]

KINDS = {
    "a.csv.gz": gzip.compress(PLAIN.encode()),
    "two-members.csv.gz": gzip.compress(PLAIN[:100].encode()) + gzip.compress(PLAIN[100:].encode()),
    "a.CSV": PLAIN.encode(),
    "crlf.csv": PLAIN.replace("\n", "\r\n").encode(),
    "cr.csv": PLAIN.replace("\n", "\r").encode(),
    "bom.csv": b"\xef\xbb\xbf" + PLAIN.encode(),
    "quoted.csv": "".join(
        ",".join(f'"{cell}"' for cell in line.split(",")) + "\n" for line in PLAIN.splitlines()
    ).encode(),
    "spaces.csv": PLAIN.replace(",", " , ").encode(),
    "other-order.csv": csv_of([dict(sorted(row.items())) for row in HISTORY]).encode(),
    "backwards.csv": csv_of(HISTORY[::-1]).encode(),
    "with-more.csv": csv_of([{"x": "?", **row, "y": "a,b\nc"} for row in HISTORY]).encode(),
    "delimiter-at-the-end.csv": PLAIN.replace("\n", ",\n").encode(),
    "plain.zip": zipped("deep/a.csv", PLAIN),
    "gz.zip": zipped("a.csv.gz", gzip.compress(PLAIN.encode())),
    "parquet.zip": zipped("a.parquet", parquet()),
    "text.parquet": parquet(),
    "typed.parquet": parquet(date=DAYS, serial=[int(row["serial"]) for row in HISTORY], failed=FAILED),
    "moments.parquet": parquet(date=pa.array(LATE, pa.timestamp("us")), power_on_hours=HOURS),
    "moments-elsewhere.parquet": parquet(date=pa.array(LATE, pa.timestamp("ms", "Asia/Tokyo"))),
    "numbers.parquet": parquet(
        failed=pa.array(map(int, FAILED), pa.int8()),
        serial=pa.array([row["serial"] for row in HISTORY]).dictionary_encode(),
        power_on_hours=[None if hours is None else f"{hours}" for hours in HOURS],
    ),
    "doubles.parquet": parquet(failed=[float(failed) for failed in FAILED]),
}


@pytest.fixture(scope="module")
def engine() -> Iterator[Engine]:
    found = Engine()
    yield found
    found.close()


def snapshots(engine: Engine, file: Path, store: Path, mapping: Mapping = OWN_NAMES) -> list[dict[str, Any]]:
    """The rows that a file gives, in order, without the name of the file."""
    (source,) = find_sources([str(file)]).files
    found = ingest(engine, source, mapping, store, f"{file.name}.parquet")
    rows = [row for part in found.parts.values() for row in pq.ParquetFile(part).read().to_pylist()]
    return sorted(({n: v for n, v in row.items() if n != "source_file"} for row in rows), key=str)


@pytest.mark.parametrize("name", KINDS)
def test_the_same_rows_come_out_of_every_kind_of_file(name: str, tmp_path: Path, engine: Engine) -> None:
    expected = snapshots(engine, put(tmp_path / "a.csv", PLAIN), tmp_path)
    assert len(expected) == len(HISTORY)
    assert snapshots(engine, put(tmp_path / name, KINDS[name]), tmp_path) == expected


WITH_COMMAS = PLAIN.translate(str.maketrans(",.", ";,"))
COMMA_FILES = {
    "typed at once": (WITH_COMMAS, FileRule(";", decimal=",")),
    "with care": (WITH_COMMAS, FileRule(";", "latin-1", ",")),
    "in quotes": (PLAIN.replace("120.5", '"120,5"'), FileRule(decimal=",")),
}


@pytest.mark.parametrize("name", COMMA_FILES)
def test_a_comma_marks_decimals_where_the_mapping_says_so(name: str, tmp_path: Path, engine: Engine) -> None:
    expected = snapshots(engine, put(tmp_path / "a.csv", PLAIN), tmp_path)
    assert 120.5 in {row["power_on_hours"] for row in expected}
    text, rule = COMMA_FILES[name]
    assert snapshots(engine, put(tmp_path / "b.csv", text), tmp_path, Mapping(rule)) == expected


def test_numbers_of_parquet_have_their_own_decimals(tmp_path: Path, engine: Engine) -> None:
    file = put(tmp_path / "a.parquet", parquet(power_on_hours=HOURS))
    expected = snapshots(engine, file, tmp_path)
    assert snapshots(engine, file, tmp_path, Mapping(FileRule(decimal=","))) == expected


@pytest.mark.parametrize("encoding", ["utf-8", "latin-1"])
def test_a_number_with_points_for_thousands_is_rejected_as_it_stands(
    encoding: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    numbers = ("1.234,5", "12.5", "1,5,5", "12,5")
    rows_of_it = "".join(f"{day(n)};A;M;{number}\n" for n, number in enumerate(numbers))
    file = put(tmp_path / "a.csv", "date;serial;model;power_on_hours\n" + rows_of_it)
    rules = f'[file]\ndelimiter = ";"\nencoding = "{encoding}"\ndecimal = ","\n'
    done = loaded(capsys, tmp_path / "fleet", file, "--mapping", put(tmp_path / "m.toml", rules))
    assert (done["rows_kept"], done["rows_rejected"]) == (1, 3)
    assert rejects(tmp_path / "fleet") == [
        (line, "power_on_hours", number, "no finite number") for line, number in enumerate(numbers[:3], 2)
    ]


def test_the_same_rows_give_the_same_lives(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    told = []
    for name in ("a.csv", "a.csv.gz", "plain.zip", "typed.parquet"):
        file = put(tmp_path / name, {"a.csv": PLAIN.encode(), **KINDS}[name])
        loaded(capsys, tmp_path / f"of-{name}", file)
        told.append(everything(tmp_path / f"of-{name}"))
    assert told[1:] == told[:1] * 3
    assert lives(tmp_path / "of-a.csv") == [("101", 0, 5, "failed"), ("102", 1, 8, "in service")]


def test_a_gz_whose_ending_hides_it_is_set_aside_by_what_is_in_it(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = put(tmp_path / "a.csv", gzip.compress(PLAIN.encode()))
    refused(capsys, tmp_path, "load", file, "--store", tmp_path / "f", naming=["its header is not utf-8"])


THEIRS = """Tag;Nr;Typ;POH (min);Zustand;Haus;FW;Grad
{days[0]};a1;T18;1440;gut;N;1.0;20,5
{days[1]};a1;T18;2880;weg;;2.0;21
{days[1]};A1;T18;;prüfen;S;;
"""


@pytest.mark.parametrize(
    ("written", "encoding"),
    [
        ("%d.%m.%Y", "latin-1"),
        ("%m/%d/%y", "cp1252"),
        ("%d %b %Y", "utf-16"),
        ("%Y%j", "utf-8"),
        ("%Y-%m-%dT%H:%M:%S", "utf-16-le"),
        ("%A, %B %d, %Y %I:%M %p", "cp437"),
    ],
)
def test_another_source_is_read_by_its_mapping(
    written: str, encoding: str, tmp_path: Path, engine: Engine
) -> None:
    days = [datetime(2025, 3, number, tzinfo=UTC) for number in (1, 2)]
    text = THEIRS.format(days=[when.strftime(written) for when in days])
    rules = f"""
[file]
delimiter = ";"
encoding = "{encoding}"
[columns]
date = {{ column = "Tag", format = "{written}" }}
serial = "Nr"
model = "Typ"
power_on_hours = {{ column = "POH (min)", scale = 0.016666666666666666 }}
site = "Haus"
[failed]
column = "Zustand"
values = ["weg", "prüfen"]
[extra]
columns = ["FW", "not in this file"]
"""
    mapping = read_mapping(put(tmp_path / "m.toml", rules))
    found = snapshots(engine, put(tmp_path / "a.csv", text.encode(encoding)), tmp_path, mapping)
    told = [
        tuple(row[name] for name in ("serial", "date", "power_on_hours", "failed", "site", "FW"))
        for row in found
    ]
    assert sorted(told, key=str) == [
        ("A1", FIRST + timedelta(1), None, True, "S", None),
        ("a1", FIRST, pytest.approx(24.0), False, "N", "1.0"),
        ("a1", FIRST + timedelta(1), pytest.approx(48.0), True, None, "2.0"),
    ]
    assert found[0]["temperature_c"] is None, "a column nobody placed is not read"


def test_the_day_may_stand_in_the_name_of_the_file(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    mapping = put(tmp_path / "m.toml", '[columns]\ndate = { file_name = "%Y-%m-%d" }\n')
    text = "serial,model,date\nA,M,not looked at\nB,M,\n"
    for number in (0, 1, 30, 31):
        put(tmp_path / "source" / f"snap {day(number)} b.csv", text)  # two days with the same content
    put(tmp_path / "source" / "snap 2025-02-30.csv", text)
    put(tmp_path / "source" / "snap 2999-01-01.csv", text)
    store = tmp_path / "fleet"
    found = loaded(capsys, store, tmp_path / "source", "--mapping", mapping)
    assert (found["files"], found["rows_kept"], found["rows_rejected"]) == (5, 8, 2)
    assert "snap 2025-02-30.csv: its name holds no day written as %Y-%m-%d" in found["told"]
    assert {row["days_seen"] for row in table(store, "lives")} == {4}
    ahead = "the day 2999-01-01 lies ahead of tomorrow (UTC)"
    assert rejects(store) == [(2, "date", None, ahead), (3, "date", None, ahead)]
    assert loaded(capsys, store, tmp_path / "source", "--mapping", mapping)["files"] == 0


def test_columns_come_and_go_in_any_order(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    files = [
        "serial,date,model\nA,2025-03-01,M\n",
        "power_on_hours,model,site,date,serial\n48,M,quay,2025-03-02,A\n",
        "date,serial,model,failed,site\n2025-03-03,A,M,1,east\n",
        "model,firmware,date,serial,reallocated_sectors\nM,x,2025-04-01,B,3\n",
    ]
    mapping = put(tmp_path / "m.toml", '[extra]\ncolumns = ["firmware"]\n')
    for number, text in enumerate(files):
        put(tmp_path / "source" / f"{number}.csv", text)
    loaded(capsys, tmp_path / "fleet", tmp_path / "source", "--mapping", mapping)
    assert lives(tmp_path / "fleet") == [("A", 0, 2, "failed"), ("B", 31, 31, "in service")]
    (first,) = (row for row in table(tmp_path / "fleet", "lives") if row["serial"] == "A")
    assert (first["site"], first["entry_age_days"], first["checks"]) == ("east", 0, "hours_invalid")
    (part,) = (tmp_path / "fleet" / "snapshots" / "month=2025-04").glob("*.parquet")
    assert pq.ParquetFile(part).read().to_pylist()[0]["firmware"] == "x"


def test_whole_numbers_that_are_days_by_the_mapping_are_days(tmp_path: Path, engine: Engine) -> None:
    numbers = parquet(date=[int(row["date"].replace("-", "")) for row in HISTORY])
    mapping = read_mapping(
        put(tmp_path / "m.toml", '[columns]\ndate = { column = "date", format = "%Y%m%d" }\n')
    )
    expected = snapshots(engine, put(tmp_path / "a.csv", PLAIN), tmp_path)
    assert snapshots(engine, put(tmp_path / "a.parquet", numbers), tmp_path, mapping) == expected
