"""A row that cannot be kept is rejected with the line of the file, the column, the value and the reason."""

from __future__ import annotations

import gzip
import io
import zipfile
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pyarrow as pa
import pyarrow.parquet as pq
import pytest
from tiny_stores import GOOD, loaded, put, refused, rejects, table

HEADER = "date,serial,model,failed,power_on_hours,temperature_c\n"
TOMORROW = datetime.now(UTC).date() + timedelta(days=1)
AHEAD = TOMORROW + timedelta(days=1)
NO_DATE, NO_NUMBER = "no date written as %Y-%m-%d", "no finite number"
A_COMMA = 'if its comma marks decimals, write decimal = "," in a mapping, under [file]'
NO_WORD = "no word known for failed or not; name the words that mean failed in a mapping, under [failed]"

FAULTS = [
    (",A,M,0,1,20", "date", None, "no date"),
    ("soon,A,M,0,1,20", "date", "soon", NO_DATE),
    ("2025-02-30,A,M,0,1,20", "date", "2025-02-30", NO_DATE),
    ("01.03.2025,A,M,0,1,20", "date", "01.03.2025", NO_DATE),
    ("2025-03-01T00:00:00,A,M,0,1,20", "date", "2025-03-01T00:00:00", NO_DATE),
    ("20250301,A,M,0,1,20", "date", "20250301", NO_DATE),
    ("25-03-01,A,M,0,1,20", "date", "25-03-01", NO_DATE),
    ("epoch,A,M,0,1,20", "date", "epoch", NO_DATE),
    ("infinity,A,M,0,1,20", "date", "infinity", NO_DATE),
    (f"{AHEAD},A,M,0,1,20", "date", f"{AHEAD}", f"the day {AHEAD} lies ahead of tomorrow (UTC)"),
    ("2999-01-01,A,M,0,1,20", "date", "2999-01-01", "the day 2999-01-01 lies ahead of tomorrow (UTC)"),
    ("2025-03-01,,M,0,1,20", "serial", None, "no serial"),
    ("2025-03-01,\u2003,M,0,1,20", "serial", "\u2003", "no serial"),
    ("2025-03-01,A\x07,M,0,1,20", "serial", "A\x07", "a control character in the serial"),
    ("2025-03-01,A\x85B,M,0,1,20", "serial", "A\x85B", "a control character in the serial"),
    ("2025-03-01,A\0B,M,0,1,20", "serial", "A\0B", "a control character in the serial"),
    ("2025-03-01,A,  ,0,1,20", "model", "  ", "no model"),
    ("2025-03-01,A,M\x1b[31m,0,1,20", "model", "M\x1b[31m", "a control character in the model"),
    ("2025-03-01,A,M,dead,1,20", "failed", "dead", NO_WORD),
    ("2025-03-01,A,M,2,1,20", "failed", "2", NO_WORD),
    ("2025-03-01,A,M,0,many,20", "power_on_hours", "many", NO_NUMBER),
    ("2025-03-01,A,M,0,1_000,20", "power_on_hours", "1_000", NO_NUMBER),
    ('2025-03-01,A,M,0,"1,5",20', "power_on_hours", "1,5", f"{NO_NUMBER}; {A_COMMA}"),
    ("2025-03-01,A,M,0,0x10,20", "power_on_hours", "0x10", NO_NUMBER),
    ("2025-03-01,A,M,0,1,warm", "temperature_c", "warm", NO_NUMBER),
    ("2025-03-01,A,M,0,1,inf", "temperature_c", "inf", NO_NUMBER),
    ("2025-03-01,A,M,0,1,nan", "temperature_c", "nan", NO_NUMBER),
    ("2025-03-01,A,M,0,1,1e400", "temperature_c", "1e400", NO_NUMBER),
    ("soon,,M,dead,x,y", "date", "soon", NO_DATE),  # the first fault in the order of our columns
]


def test_each_fault_of_a_cell_is_told_with_line_column_value_and_reason(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    good = f"{TOMORROW},A,M,0,1,20\n2025-03-02,A,M,YES,inf,\n"
    file = put(tmp_path / "a.csv", HEADER + good + "".join(f"{line}\n" for line, *_ in FAULTS))
    found = loaded(capsys, tmp_path / "fleet", file)
    expected = [(number, *told) for number, (_, *told) in enumerate(FAULTS, start=4)]
    assert rejects(tmp_path / "fleet") == expected
    assert (found["rows_read"], found["rows_kept"]) == (len(FAULTS) + 2, 2)
    assert found["rows_rejected"] == len(FAULTS)
    assert {row["file"] for row in table(tmp_path / "fleet", "rejects")} == {str(file)}


LINES = {
    "blank lines": (b"date,serial,model\n\n2025-03-01,A,M\n\n\n2025-03-01,,M\n\n2025-03-02,,M\n", [6, 8]),
    "no end": (b"date,serial,model\n2025-03-01,A,M\n2025-03-01,,M", [3]),
    "quoted line ends": (
        b'date,serial,model,note\n2025-03-01,A,M,"a\nb\n\nc"\n2025-03-01,,M,"d\ne"\n2025-03-02,,M,\n',
        [6, 8],
    ),
    "quoted quotes": (
        b'date,serial,model,note\n2025-03-01,A,M,"a ""b\n"" c"\n2025-03-01,,M,x\n2025-03-02,"","M",\n',
        [4, 5],
    ),
    "quoted header": (b'date,serial,model,"no\nte"\n2025-03-01,A,M,\n2025-03-01,,M,\n', [4]),
    "CRLF": (b'date,serial,model\r\n\r\n2025-03-01,A,"M\r\n"\r\n2025-03-01,,M\r\n', [5]),
    "lone CR": (b"date,serial,model\r\r2025-03-01,A,M\r2025-03-01,,M\r", [4]),
    "CRLF among LF": (b"date,serial,model\n2025-03-01,A,M\r\n\r\n2025-03-01,A\n2025-03-01,,M\r\n", [4, 5]),
    "CR among LF": (b"date,serial,model\n2025-03-01,A\rB,M\n2025-03-01,,M\n2025-03-01,B,M\n", [2, 3, 4]),
    "byte-order mark": (b"\xef\xbb\xbfdate,serial,model\n2025-03-01,A,M\n2025-03-01,,M\n", [3]),
    "broken before": (b"date,serial,model\n2025-03-01,A\n\n2025-03-01,A,M,1\n2025-03-01,,M\n", [2, 4, 5]),
    "quote not closed": (b'date,serial,model\n2025-03-01,A,M\n2025-03-01,"B,M\n2025-03-02,C,M\n', [3]),
    "quote within": (b'date,serial,model\n2025-03-01,A,M\n2025-03-01,"B"x,M\n2025-03-02,,M\n', [3, 4]),
    "too long": (b"date,serial,model\n2025-03-01," + b"A" * (17 << 20) + b",M\n2025-03-01,,M\n", [2, 3]),
}


def test_the_line_is_that_of_the_file(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    for case, (content, _) in LINES.items():
        put(tmp_path / "source" / f"{case}.csv", content)
    loaded(capsys, tmp_path / "fleet", tmp_path / "source")
    found: dict[str, list[int]] = {case: [] for case in LINES}
    for row in sorted(table(tmp_path / "fleet", "rejects"), key=lambda row: row["line"]):
        found[Path(row["file"]).stem].append(row["line"])
    assert found == {case: lines for case, (_, lines) in LINES.items()}


def test_the_line_is_that_of_the_file_also_when_it_is_packed(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    content, lines = LINES["quoted line ends"]
    put(tmp_path / "a.csv.gz", gzip.compress(content))
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w") as archive:
        archive.writestr("deep/b.csv", content.replace(b",A,", b",B,"))
        archive.writestr("c.csv.gz", gzip.compress(content.replace(b",A,", b",C,")))
    put(tmp_path / "z.zip", packed.getvalue())
    store = tmp_path / "fleet"
    assert loaded(capsys, store, tmp_path / "*.*")["drives"] == 3
    found = {(row["file"].removeprefix(f"{tmp_path}/"), row["line"]) for row in table(store, "rejects")}
    files = ("a.csv.gz", "z.zip/deep/b.csv", "z.zip/c.csv.gz")
    assert found == {(file, line) for file in files for line in lines}


def test_the_line_is_that_of_the_file_also_in_other_encodings(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    text = 'date,serial,model,größe\n\n2025-03-01,{sign},M,"{sign}\n{sign}"\n2025-03-01,,M,{sign}\n'
    signs = {"latin-1": "é", "cp1252": "€", "utf-16": "Ω", "shift_jis": "ア"}
    for number, (encoding, sign) in enumerate(signs.items(), start=1):
        content = text.replace("{sign}", sign).replace("ö", "o").replace("ß", "s").encode(encoding)
        file = put(tmp_path / f"{encoding}.csv", content)
        mapping = put(tmp_path / f"{encoding}.toml", f'[file]\nencoding = "{encoding}"\n')
        found = loaded(capsys, tmp_path / "fleet", file, "--mapping", mapping)
        assert (found["rows_kept"], found["rows_rejected"], found["drives"]) == (1, 1, number)
    assert [row["line"] for row in table(tmp_path / "fleet", "rejects")] == [5, 5, 5, 5]
    assert {row["serial"] for row in table(tmp_path / "fleet", "lives")} == set(signs.values())


def test_too_few_and_too_many_cells_are_told_with_the_line_as_it_stands(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = put(tmp_path / "a.csv", GOOD + "2025-03-03,C\n2025-03-03,C,M,9\n")
    loaded(capsys, tmp_path / "fleet", file)
    told = rejects(tmp_path / "fleet")
    assert [row[:3] for row in told] == [(5, None, "2025-03-03,C"), (6, None, "2025-03-03,C,M,9")]
    assert all(row[3].startswith("the line cannot be cut into its columns: ") for row in told)
    assert "Expected Number of Columns: 3 Found: 2" in told[0][3]


@pytest.mark.parametrize(("encoding", "byte"), [("utf-8", b"\xe9"), ("cp1252", b"\x81"), ("ascii", b"\xe9")])
def test_bytes_that_are_not_of_the_encoding_reject_their_row_alone(
    encoding: str, byte: bytes, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = put(tmp_path / "a.csv", GOOD.encode() + b"2025-03-03,D" + byte + b",M\n2025-03-04,E,M\n")
    mapping = put(tmp_path / "m.toml", f'[file]\nencoding = "{encoding}"\n')
    found = loaded(capsys, tmp_path / "fleet", file, "--mapping", mapping)
    assert (found["rows_kept"], found["rows_rejected"], found["drives"]) == (4, 1, 3)
    ((line, column, value, reason),) = rejects(tmp_path / "fleet")
    assert (line, column) == (5, None)
    assert value is not None
    assert value.startswith("2025-03-03,D")
    assert (
        reason
        == f"it is not {encoding}; name the encoding (latin-1, for instance) in a mapping, under [file]"
    )


def test_rows_of_parquet_are_counted_from_one(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    columns = {"date": ["2025-03-01", "soon", "2025-03-02"], "serial": ["A", "B", None], "model": ["M"] * 3}
    pq.write_table(pa.table(columns), tmp_path / "a.parquet")
    loaded(capsys, tmp_path / "fleet", tmp_path / "a.parquet")
    told = [(2, "date", "soon", NO_DATE), (3, "serial", None, "no serial")]
    assert rejects(tmp_path / "fleet") == told


def test_with_words_told_the_others_are_not_failed_and_the_column_has_their_name(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    text = "tag,sn,kind,state\n2025-03-01,A,M,fine\n2025-03-02,A,M,dead\n2025-03-01,B,M,what?\nx,C,M,\n2025-03-01,,M,\n"
    rules = '[columns]\ndate = "tag"\nserial = "sn"\nmodel = "kind"\n[failed]\ncolumn = "state"\nvalues = ["dead"]\n'
    store = tmp_path / "fleet"
    mapping = put(tmp_path / "m.toml", rules)
    found = loaded(capsys, store, put(tmp_path / "a.csv", text), "--mapping", mapping)
    assert (found["failed"], found["in_service"]) == (1, 1)
    assert rejects(store) == [(5, "tag", "x", NO_DATE), (6, "sn", None, "no serial")]


def test_a_file_of_rejected_rows_alone_leaves_a_store_without_drives_that_says_so(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    store = tmp_path / "fleet"
    found = loaded(capsys, store, put(tmp_path / "a.csv", "date,serial,model\nsoon,A,M\n"))
    assert (found["rows_rejected"], found["drives"], found["checks"]) == (1, 0, [])
    words = ["holds no drive-day: every row was rejected", "driveyears checks --store"]
    refused(capsys, tmp_path, "rates", "--store", store, naming=words)
    assert loaded(capsys, store, put(tmp_path / "b.csv", GOOD))["drives"] == 2
