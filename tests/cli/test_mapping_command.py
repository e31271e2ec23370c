"""`driveyears mapping`: what it proposes loads the file, and what it cannot place it says."""

from __future__ import annotations

import datetime as dt
import gzip
import io
import tomllib
import zipfile
from typing import TYPE_CHECKING, Any, NamedTuple

import pyarrow as pa
import pyarrow.parquet as pq
import pytest
from tiny_stores import GOOD, fingerprint, loaded, put, refused, said

if TYPE_CHECKING:
    from pathlib import Path

THEIRS = (
    "reading_day;sn;kind;poh_minutes;state;room;rem\u00e4rk\n"
    "01.03.2025;A;T18;1440;ok;N;x\n"
    "13.03.2025;A;T18;18720;dead;N;\n"
    "13.03.2025;B;T18;;ok;;\n"
)
PLACED: dict[str, Any] = {
    "columns": {
        "date": {"column": "reading_day", "format": "%d.%m.%Y"},
        "serial": "sn",
        "model": "kind",
        "power_on_hours": {"column": "poh_minutes", "scale": 1 / 60},
        "site": "room",
    },
    "failed": {"column": "state", "values": ["dead"]},
}


def zipped(name: str, content: str) -> bytes:
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w") as archive:
        archive.writestr(name, content)
    return packed.getvalue()


def parquet() -> bytes:
    out = io.BytesIO()
    moments = [dt.datetime(2025, 3, 1, 5, tzinfo=dt.UTC), dt.datetime(2025, 3, 2, 6, tzinfo=dt.UTC), None]
    columns = {"day": moments, "sn": [1, 2, 3], "product": ["M"] * 3, "has_failed": [False, True, False]}
    pq.write_table(pa.table(columns), out)
    return out.getvalue()


def file_rules(**rules: str) -> dict[str, Any]:
    return {"file": rules, **PLACED}


LARGE = THEIRS + "".join(
    f"13.03.2025;S{n};T18;60;ok;N;\u00e4\n" for n in range(40_000)
)  # longer than what is looked at


class Source(NamedTuple):
    """A file of another source, and what comes of it."""

    name: str
    content: bytes
    mapping: dict[str, Any]
    kept: int
    failed: int


SOURCES = [
    Source("a.csv", THEIRS.encode("latin-1"), file_rules(delimiter=";", encoding="latin-1"), 3, 1),
    Source("large.csv", LARGE.encode("latin-1"), file_rules(delimiter=";", encoding="latin-1"), 40_003, 1),
    Source(
        "windows.csv",
        THEIRS.replace("\u00e4", "\u20ac").encode("cp1252"),
        file_rules(delimiter=";", encoding="cp1252"),
        3,
        1,
    ),
    Source("wide.csv", THEIRS.encode("utf-16"), file_rules(delimiter=";", encoding="utf-16"), 3, 1),
    Source("marked.csv", b"\xef\xbb\xbf" + THEIRS.encode(), file_rules(delimiter=";"), 3, 1),
    Source(
        "tabs.csv.gz", gzip.compress(THEIRS.replace(";", "\t").encode()), file_rules(delimiter="\t"), 3, 1
    ),
    Source("bars.zip", zipped("deep/a.csv", THEIRS.replace(";", "|")), file_rules(delimiter="|"), 3, 1),
    Source(
        "commas.csv",
        b"reading_day;sn;kind;poh_minutes;state;room;temp\n01.03.2025;A;T18;1440;ok;N;20,5\n02.03.2025;A;T18;;dead;N;1,125\n",
        {
            "file": {"delimiter": ";", "decimal": ","},
            **PLACED,
            "columns": PLACED["columns"] | {"temperature_c": "temp"},
        },
        2,
        1,
    ),
    Source("own.csv", GOOD.encode(), {"columns": {}}, 3, 0),
    Source(
        "american.csv",
        b"Date,Serial Number,Model Number,Failure\n03/13/2025,A,M,Yes\n03/12/2025,A,M,No\n",
        {
            "columns": {
                "date": {"column": "Date", "format": "%m/%d/%Y"},
                "serial": "Serial Number",
                "model": "Model Number",
            },
            "failed": {"column": "Failure"},
        },
        2,
        1,
    ),
    Source(
        "times.csv",
        b"timestamp,serial,model,dead\n2025-03-01T23:59:00,A,M,1\n",
        {
            "columns": {"date": {"column": "timestamp", "format": "%Y-%m-%dT%H:%M:%S"}},
            "failed": {"column": "dead"},
        },
        1,
        1,
    ),
    Source(
        "odd names.csv",
        'date,"Serial\tno.",\U0001f600 model\x7f\n20250301,A,M\n'.encode(),
        {
            "columns": {
                "date": {"column": "date", "format": "%Y%m%d"},
                "serial": "Serial\tno.",
                "model": "\U0001f600 model\x7f",
            }
        },
        1,
        0,
    ),
    Source(
        "typed.parquet",
        parquet(),
        {
            "columns": {"date": "day", "serial": "sn", "model": "product"},
            "failed": {"column": "has_failed"},
        },
        2,
        1,
    ),
]


@pytest.mark.parametrize("source", SOURCES, ids=[source.name for source in SOURCES])
def test_what_it_proposes_loads_the_file(
    source: Source, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = put(tmp_path / source.name, source.content)
    before = fingerprint(tmp_path)
    found = said(capsys, "mapping", file)
    assert found.code == 0
    assert fingerprint(tmp_path) == before, "it only looks"
    proposed = tomllib.loads(found.out)
    scale = proposed["columns"].get("power_on_hours", {}).get("scale")
    assert scale is None or scale == pytest.approx(1 / 60)
    assert proposed == source.mapping
    done = loaded(capsys, tmp_path / "fleet", file, "--mapping", put(tmp_path / "m.toml", found.out))
    assert (done["rows_kept"], done["failed"]) == (source.kept, source.failed)


SAID = {
    "date,serial,kind,slot\n2025-03-01,A,M,7\n": [
        "not placed, and not read unless named under [columns] or [extra]: slot.",
        "no column seems to say that a drive failed: name it under [failed], or give a removal log",
    ],
    "when,who,model\n1,2,3\n": [
        "no column seems to be date, which is required: name it under [columns].",
        "no column seems to be serial, which is required",
        "not placed, and not read unless named under [columns] or [extra]: when, who.",
    ],
    "date,serial,model,status\n2025-03-01,A,M,kaputt\n2025-03-01,B,M,fine\n": [
        "status says fine, kaputt: name those that mean failed, under [failed], as values."
    ],
    "date,serial,model,status\n2025-03-01,A,M,Dead\n2025-03-01,B,M,fine\n": [
        "status says Dead, fine: check which of them mean failed."
    ],
    "date,serial,model\n03/04/2025,A,M\n": ["days in date can be read as %d/%m/%Y or %m/%d/%Y: check which."],
    "date,serial,model\nthe third,A,M\n": [
        "written in no way known here (such as 'the third'): give their format"
    ],
    "date,serial,model\n": ["date has no value to look at"],
    "date,date,serial,model\n2025-03-01,x,A,M\n": [
        "date stands 2 times; a column that is read must stand once"
    ],
    "date,serial,model,outcome\n2025-03-01,A,M,failed\n": ["looks like a removal log", "--removals"],
    'date,serial,model,hours\n2025-03-01,A,M,"12,345"\n': [
        'a number is written 12,345: if the comma marks decimals, write decimal = "," under [file]; numbers with m'
    ],
    "date,serial,model,size_gb\n2025-03-01,A,M,18000\n": [
        "size_gb is taken to need a factor of 0.001 for capacity_tb: check its unit."
    ],
}


@pytest.mark.parametrize("text", SAID)
def test_what_it_cannot_place_or_only_guesses_it_says_on_standard_error(
    text: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = put(tmp_path / "a.csv", text)
    found = said(capsys, "mapping", file)
    assert found.code == 0
    assert [words for words in SAID[text] if words not in found.err] == []
    assert all(line.startswith("driveyears: ") for line in found.err.splitlines())
    assert tomllib.loads(found.out) is not None, "standard output is the mapping and nothing else"


def test_a_proposal_without_the_words_that_mean_failed_is_not_loaded_by_mistake(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = put(tmp_path / "a.csv", "date,serial,model,status\n2025-03-01,A,M,kaputt\n2025-03-01,B,M,fine\n")
    mapping = put(tmp_path / "m.toml", said(capsys, "mapping", file).out)
    naming = ["in [failed], values names no word that means failed"]
    refused(capsys, tmp_path, "load", file, "--mapping", mapping, "--store", tmp_path / "f", naming=naming)
    put(mapping, mapping.read_text(encoding="utf-8").replace("values = []", 'values = ["kaputt"]'))
    assert loaded(capsys, tmp_path / "fleet", file, "--mapping", mapping)["failed"] == 1


def test_programs_get_the_same_as_json_and_csv(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = put(tmp_path / "a.csv", THEIRS)
    text = said(capsys, "mapping", file).out
    found = said(capsys, "mapping", file, "--format", "json").json
    assert found["mapping"] == text
    theirs = {"date": "reading_day", "serial": "sn", "model": "kind", "failed": "state"}
    assert theirs.items() <= found["columns"].items()
    assert (found["missing"], found["unplaced"]) == ([], ["rem\u00e4rk"])
    assert len(found["notes"]) == 2
    lines = said(capsys, "mapping", file, "--format", "csv").out.splitlines()
    assert lines[:2] == ["column,source_column", "date,reading_day"]


def test_of_a_folder_the_first_file_is_looked_at(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    put(tmp_path / "2025" / "b.csv", GOOD)
    put(tmp_path / "2025" / "a.csv", THEIRS)
    assert 'serial = "sn"' in said(capsys, "mapping", tmp_path / "2025").out
    assert 'serial = "sn"' in said(capsys, "mapping", tmp_path / "2025" / "*.csv").out


@pytest.mark.parametrize(
    ("name", "content", "words"),
    [
        ("empty.csv", b"", ["The first line of", "is empty", "Name a file with a header and rows."]),
        ("blank.csv", b"\n\n" + GOOD.encode(), ["The first line of", "is empty"]),
        ("cut.csv.gz", gzip.compress(GOOD.encode())[:-9], ["cannot be read", "Name another file."]),
        ("spoilt.csv.gz", gzip.compress(GOOD.encode())[:10] + b"\xff" * 9, ["cannot be read"]),
        ("no.parquet", b"x", ["cannot be read", "Name another file."]),
        ("no.zip", b"x", ["cannot be looked at: it is no zip", "Name another file."]),
        ("out.zip", zipped("../a.csv", GOOD), ["points out of the archive"]),
        ("wrong.csv", None, ["no file, no folder, and no pattern"]),
    ],
    ids=lambda value: value if isinstance(value, str) else "",
)
def test_what_cannot_be_looked_at_is_refused(
    name: str, content: bytes | None, words: list[str], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / name if content is None else put(tmp_path / name, content)
    refused(capsys, tmp_path, "mapping", file, naming=[name, *words])
