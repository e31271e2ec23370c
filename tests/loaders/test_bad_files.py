"""A file that cannot be used is set aside whole with its reason; alone, it is refused and nothing is touched."""

from __future__ import annotations

import gzip
import io
import zipfile
from pathlib import Path

import pyarrow as pa
import pyarrow.parquet as pq
import pytest
from tiny_stores import GOOD, good, loaded, manifest, put, refused, said

from reliability.loaders.store import open_store

HEADER = GOOD.splitlines(keepends=True)[0]
PACKED = gzip.compress((HEADER + "".join(f"2025-03-01,S{n},M{n}\n" for n in range(500))).encode(), mtime=0)


def zipped(members: dict[str, str], *, spoil: str | None = None) -> bytes:
    """Pack members; one of them loses a bit, so that its checksum is wrong."""
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w") as archive:
        for name, text in members.items():
            archive.writestr(name, text)
        places = {info.filename: info.header_offset + 30 + len(info.filename) for info in archive.infolist()}
    content = bytearray(packed.getvalue())
    if spoil is not None:
        content[places[spoil] + 40] ^= 1
    return bytes(content)


def deflated(name: str, text: str) -> bytes:
    """Pack a member whose packing is broken: not its checksum, the stream itself."""
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr(name, text)
    content = bytearray(packed.getvalue())
    content[30 + len(name)] |= 0b110  # block type 3 is reserved: RFC 1951, section 3.2.3
    return bytes(content)


BAD: dict[str, tuple[str | bytes, list[str]]] = {
    "no-serial.csv": ("date,model\n2025-03-01,M\n", ["'serial'", "date, model", "under [columns]"]),
    "no-date-no-model.csv": ("serial,day\nA,2025-03-01\n", ["'date', 'model'", "serial, day"]),
    "other-case.csv": ("Date,Serial,Model\n2025-03-01,A,M\n", ["'date'", "Date, Serial, Model"]),
    "empty.csv": ("", ["it is empty"]),
    "blank-first.csv": ("\n" + GOOD, ["its first line is blank"]),
    "blank-only.csv": ("  \n \n", ["its first line is blank"]),
    "header-only.csv": (HEADER, ["it has a header and no rows"]),
    "semicolons.csv": (GOOD.replace(",", ";"), ["it looks cut by ';'", "the delimiter", "under [file]"]),
    "tabs.csv": (GOOD.replace(",", "\t"), [r"it looks cut by '\t'", "the delimiter"]),
    "bars.csv": (GOOD.replace(",", "|"), ["it looks cut by '|'", "the delimiter"]),
    "twice.csv": ("date,serial,serial,model\n2025-03-01,A,B,M\n", ["'serial' twice"]),
    "latin-header.csv": (
        "date,serial,model,größe\n2025-03-01,A,M,1\n".encode("latin-1"),
        ["its header is not utf-8", "name the encoding", "under [file]"],
    ),
    "log.csv": ("serial,date,outcome,model\nA,2025-03-01,failed,M\n", ["'outcome'", "--removals"]),
    "cut.csv.gz": (PACKED[:-40], ["it cannot be read"]),
    "cut-early.csv.gz": (PACKED[:15], ["it cannot be read"]),
    "no-gz.csv.gz": (b"\x1f\x8c" + PACKED[2:], ["it cannot be read", "gzip"]),
    "wrong-sum.csv.gz": (PACKED[:-8] + b"\0" * 4 + PACKED[-4:], ["it cannot be read", "CRC"]),
    "spoilt.csv.gz": (PACKED[:10] + b"\xff" * 8 + PACKED[18:], ["it cannot be read"]),
    "empty.csv.gz": (b"", ["it is empty"]),
    "no-parquet.parquet": (b"date,serial,model\n", ["it cannot be read"]),
    "no-zip.zip": (b"PK, and then nothing of the kind", ["it is no zip that can be opened"]),
    "half.zip": (zipped({"a.csv": GOOD})[:-30], ["it is no zip that can be opened"]),
    "out.zip": (zipped({"../evil.csv": GOOD, "good.csv": GOOD}), ["../evil.csv points out of the archive"]),
    "root.zip": (zipped({"/evil.csv": GOOD}), ["/evil.csv points out of the archive"]),
    "nothing.zip": (zipped({"readme.txt": "x", "__MACOSX/a.csv": GOOD}), ["no member that ends in .csv"]),
}


@pytest.mark.parametrize("name", BAD)
def test_alone_it_is_refused_in_one_sentence_and_no_store_comes_to_be(
    name: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    content, words = BAD[name]
    file = put(tmp_path / name, content)
    store = tmp_path / "new" / "deep" / "fleet"
    refused(capsys, tmp_path, "load", file, "--store", store, naming=[str(file), "as it was", *words])
    assert not (tmp_path / "new").exists()


def test_beside_a_good_file_all_of_them_are_set_aside_and_told(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    for name, (content, _) in BAD.items():
        put(tmp_path / "source" / name, content)
    put(tmp_path / "source" / "good.csv", GOOD)
    store = tmp_path / "fleet"
    found = loaded(capsys, store, tmp_path / "source")
    assert (found["files"], found["files_set_aside"], found["rows_kept"]) == (1, len(BAD), 3)
    for name, (_, words) in BAD.items():
        (line,) = [line for line in found["told"].splitlines() if f"{name}: " in line]
        assert line.startswith("driveyears: set aside ")
        assert all(word in line for word in words), line
    assert len(manifest(store)["set_aside"]) == len(BAD)
    assert [Path(each.name).name for each in open_store(store).set_aside()] == sorted(BAD)
    assert "Files set aside" in said(capsys, "checks", "--store", store).out
    assert said(capsys, "checks", "--store", store, "--format", "json").json["files_set_aside"] == len(BAD)


@pytest.mark.parametrize(
    ("content", "reason"),
    [
        (zipped({"good.csv": GOOD, "bad.csv": good("C")}, spoil="bad.csv"), "CRC"),
        (deflated("bad.csv", GOOD * 9), "cannot be read to its end"),
    ],
    ids=["checksum", "stream"],
)
def test_a_broken_member_is_set_aside_and_the_good_one_read(
    content: bytes, reason: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    put(tmp_path / "z.zip", content)
    put(tmp_path / "z.csv", GOOD)
    found = loaded(capsys, tmp_path / "fleet", tmp_path / "*.*")
    assert f"{tmp_path}/z.zip/bad.csv: " in found["told"]
    assert reason in found["told"]
    assert found["files_set_aside"] == 1
    assert found["drives"] == 2


def test_a_locked_member_is_set_aside(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    content = bytearray(zipped({"locked.csv": GOOD}))
    content[6] |= (
        1  # general purpose bit 0: encrypted (APPNOTE 6.3.10, section 4.4.4), here and in the directory
    )
    content[content.index(b"PK\x01\x02") + 8] |= 1
    file = put(tmp_path / "z.zip", bytes(content))
    refused(
        capsys, tmp_path, "load", file, "--store", tmp_path / "f", naming=["z.zip/locked.csv", "password"]
    )


def test_a_store_stays_as_it_was_when_nothing_can_be_used(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    store = tmp_path / "fleet"
    for number in range(2):
        loaded(capsys, store, put(tmp_path / f"{number}.csv", good(f"A{number}")))
    files = [put(tmp_path / name, content) for name, (content, _) in BAD.items()]
    found = ["None of the 25 files can be used", "and 22 more"]
    refused(capsys, tmp_path, "load", *files, "--store", store, naming=found)


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("nowhere.csv", ["nowhere.csv is no file, no folder, and no pattern", "Check the path"]),
        ("*.parquet", ["*.parquet is no file, no folder, and no pattern"]),
        ("hollow", ["holds no file that ends in .csv, .csv.gz, .parquet or .zip", "Name the folder"]),
        ("x" * 300, ["cannot be looked at", "Check the path"]),
    ],
)
def test_a_name_that_is_nothing_is_refused(
    name: str, words: list[str], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    put(tmp_path / "hollow" / "notes.txt", "nothing to read")
    good = put(tmp_path / "good.csv", GOOD)
    store = tmp_path / "fleet"
    refused(capsys, tmp_path, "load", good, tmp_path / name, "--store", store, naming=words)


def test_nothing_named_is_refused(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    words = ["Nothing was named to load", "--removals"]
    refused(capsys, tmp_path, "load", "--store", tmp_path / "fleet", naming=words)


def test_a_name_that_is_no_text_is_set_aside(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    put(tmp_path / "source" / "good.csv", GOOD)
    (tmp_path / "source" / "caf\udce9.csv").write_text(GOOD, encoding="utf-8")
    found = loaded(capsys, tmp_path / "fleet", tmp_path / "source")
    assert r"caf\xe9.csv: its name is no text in utf-8; give the file another name." in found["told"]
    assert (found["files"], found["files_set_aside"]) == (1, 1)


@pytest.mark.parametrize("name", ["x[1].csv", "st*r.csv", "q?.csv", "model=oops/date=2020-01-01/y.csv"])
def test_signs_of_patterns_in_a_name_mean_nothing(
    name: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    put(tmp_path / "source" / "x1.csv", good("C"))
    put(tmp_path / "source" / "star.csv", good("D"))
    file = put(tmp_path / "source" / name, GOOD)
    store = tmp_path / "fleet[1]"
    put(tmp_path / "fleet1" / "lives-1.parquet", "a decoy")
    loaded(capsys, store, file)
    found = said(capsys, "rates", "--store", store, "--format", "json").json
    assert [(row["model"], row["drives"]) for row in found["rows"]] == [("TARN T18", 2)]


def test_folders_that_look_like_columns_mean_nothing(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = tmp_path / "model=oops" / "date=2020-01-01"  # as some programs lay out their Parquet
    folder.mkdir(parents=True)
    columns = {"date": ["2025-03-01"], "serial": ["A"], "model": ["M"]}
    pq.write_table(pa.table(columns), folder / "a.parquet")
    pq.write_table(pa.table({"serial": ["B"]}), folder / "b.parquet")
    found = loaded(capsys, tmp_path / "fleet", tmp_path / "model=oops")
    assert (found["rows_kept"], found["files_set_aside"]) == (1, 1)
    assert "b.parquet: it has no column 'date', 'model'; its columns are serial" in found["told"]
    assert open_store(tmp_path / "fleet").models() == ("M",)
