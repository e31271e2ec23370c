"""A mapping with faults is refused with all of them at once, and the store is as it was."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from tiny_stores import GOOD, put, refused

from reliability.errors import MappingError
from reliability.loaders.mapping import read_mapping

if TYPE_CHECKING:
    from pathlib import Path

FORMAT = "which tells no year, month and day; write it as %d.%m.%Y, for instance"
FILE_NAME = "which tells no year, month and day; write it with %Y, %y, %m, %d, %j, %b, %B"
FAULTS = {
    "weight = 1": "unknown key 'weight'; known are file, columns, failed, models, retired, extra",
    "colums = 1": "unknown key 'colums', did you mean 'columns'?",
    "file = 1": "file is no table; write it as [file]",
    "[[models]]": "models is no table; write it as [models]",
    'extra = ["firmware"]': "extra is no table; write it as [extra]",
    '[file]\ndelimitr = ";"': "in [file], unknown key 'delimitr', did you mean 'delimiter'?",
    "[file]\nencoding = 8": "in [file], encoding: 8 is not text",
    '[file]\nencoding = "klingon"': "in [file], encoding 'klingon' is not known; write utf-8 or latin-1",
    '[file]\nencoding = "hex"': "in [file], encoding 'hex' is not known",  # known to Python, and no encoding of text
    '[file]\nencoding = ""': "in [file], encoding '' is not known",
    '[file]\ndelimiter = ";;"': "in [file], delimiter is one plain character such as ',' or ';', not ';;'",
    '[file]\ndelimiter = ""': "not ''",
    '[file]\ndelimiter = "\\n"': r"not '\n'",
    "[file]\ndelimiter = '\"'": "not '\"'",
    '[file]\ndelimiter = "é"': "not 'é'",
    '[file]\ndecimal = ";"': "in [file], decimal is '.' or ',', the mark of decimals, not ';'",
    '[columns]\nserail = "sn"': "in [columns], 'serail' is none of our columns, did you mean 'serial'?",
    '[columns]\nzzz = "sn"': "'zzz' is none of our columns; they are date, serial, model",
    "[columns]\nserial = 3": "in [columns], serial: 3 is neither a column's name nor a table",
    '[columns]\nserial = { colum = "sn" }': "in [columns], serial: unknown key 'colum', did you mean 'column'?",
    "[columns]\nserial = {}": "in [columns], serial needs a column",
    "[columns]\ndate = {}": "in [columns], date needs a column, or file_name, one of them",
    '[columns]\ndate = { column = "d", file_name = "%Y%m%d" }': "date needs a column, or file_name, one of them",
    '[columns]\nserial = { file_name = "%Y%m%d" }': "serial takes no format or file_name; only date does",
    '[columns]\nsite = { column = "s", format = "%Y" }': "site takes no format or file_name; only date does",
    '[columns]\ndate = { column = "d", format = "%d.%m." }': f"date has format '%d.%m.', {FORMAT}",
    '[columns]\ndate = { column = "d", format = "soon" }': f"date has format 'soon', {FORMAT}",
    '[columns]\ndate = { column = "d", format = "%Q" }': f"date has format '%Q', {FORMAT}",
    '[columns]\ndate = { column = "d", format = "" }': f"date has format '', {FORMAT}",
    '[columns]\ndate = { file_name = "snapshot" }': f"date has file_name 'snapshot', {FILE_NAME}",
    '[columns]\ndate = { file_name = "%Y-%m" }': f"date has file_name '%Y-%m', {FILE_NAME}",
    '[columns]\ndate = { file_name = "%Y-%m-%d %H" }': f"date has file_name '%Y-%m-%d %H', {FILE_NAME}",
    '[columns]\npower_on_hours = { column = "h", scale = "x" }': "power_on_hours, scale: 'x' is not a number",
    '[columns]\npower_on_hours = { column = "h", scale = true }': "power_on_hours, scale: True is not a number",
    '[columns]\npower_on_hours = { column = "h", scale = 0 }': "power_on_hours has scale 0.0; a scale is a number",
    '[columns]\nbytes_read = { column = "h", scale = inf }': "bytes_read has scale inf; a scale is a number above 0",
    '[columns]\nbytes_read = { column = "h", scale = nan }': "bytes_read has scale nan; a scale is a number above 0",
    '[columns]\nserial = { column = "s", scale = 2 }': "serial has scale 2.0; a scale is a number above 0",
    '[failed]\nvalues = ["dead"]': "in [failed], column: it is missing",
    '[failed]\ncolumn = "s"\nvalues = "dead"': "in [failed], values: 'dead' is not a list of texts",
    '[failed]\ncolumn = "s"\nword = "dead"': "in [failed], unknown key 'word'",
    '[columns]\nfailed = "s"\n[failed]\ncolumn = "s"': "failed stands under [columns] and under [failed]; keep one",
    '[models]\n"TARN T18" = "TRN T18"': "in [models], TARN T18: 'TRN T18' is not a list of texts",
    '[models]\n"TARN T18" = [18]': "in [models], TARN T18: [18] is not a list of texts",
    '[extra]\ncolumns = "firmware"': "in [extra], columns: 'firmware' is not a list of texts",
    '[extra]\ncolumns = ["Serial"]': "in [extra], 'serial' is one of our own columns; place it under [columns]",
    '[extra]\ncolumns = ["source_file"]': "in [extra], 'source_file' is a name that the store needs",
    '[extra]\ncolumns = ["a", "A"]': "in [extra], 'a' stands 2 times",
    '[extra]\ncolumns = [" "]': "in [extra], a column has no name",
}


@pytest.mark.parametrize("text", FAULTS)
def test_each_fault_is_told_with_its_place(text: str, tmp_path: Path) -> None:
    path = put(tmp_path / "m.toml", text + "\n")
    with pytest.raises(MappingError) as caught:
        read_mapping(path)
    assert str(caught.value).startswith(f"The mapping {path} cannot be used: ")
    assert FAULTS[text] in str(caught.value)


def test_one_fault_is_told_once(tmp_path: Path) -> None:
    for text, fault in FAULTS.items():
        with pytest.raises(MappingError) as caught:
            read_mapping(put(tmp_path / "m.toml", text + "\n"))
        assert str(caught.value).count(fault) == 1
        assert "; in [" not in str(caught.value), "and nothing else is blamed"


def test_all_faults_are_told_at_once_of_shape_and_of_rule(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    mapping = put(
        tmp_path / "m.toml",
        """
colour = 1
[file]
delimiter = ";;"
encoding = 8
[columns]
serail = "sn"
model = 3
power_on_hours = { column = "h", scale = "x" }
date = { column = "d", format = "%d.%m." }
[failed]
column = "state"
values = "dead"
[models]
A = "x"
[extra]
columns = ["serial"]
""",
    )
    naming = [
        f"The mapping {mapping} cannot be used: ",
        "unknown key 'colour'",
        "in [file], encoding: 8 is not text",
        "in [file], delimiter is one plain character",
        "did you mean 'serial'?",
        "in [columns], model: 3 is neither",
        "in [columns], power_on_hours, scale: 'x' is not a number",
        "in [columns], date has format '%d.%m.'",
        "in [failed], values: 'dead' is not a list of texts",
        "in [models], A: 'x' is not a list of texts",
        "in [extra], 'serial' is one of our own columns",
    ]
    file = put(tmp_path / "a.csv", GOOD)
    for store in ("new", "."):
        arguments = ("load", file, "--mapping", mapping, "--store", tmp_path / store)
        refused(capsys, tmp_path, *arguments, naming=naming)


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"[file\n", ["is not TOML: ", "line 1", "Mend it there."]),
        (b'a = 1\na = "', ["is not TOML: "]),
        ("x = 'é'".encode("latin-1"), ["is not TOML: ", "utf-8"]),
        (None, ["cannot be read: No such file or directory. Give the path of a TOML file."]),
        (
            b'[models]\nA = ["X y"]\nB = ["x_Y"]\n',
            ["The spelling 'x_Y' stands under two models, 'A' and 'B'"],
        ),
        (b'[models]\nA = ["B"]\nB = ["C"]\n', ["The spelling 'B' stands under two models", "in [models]"]),
    ],
)
def test_what_is_no_mapping_at_all_is_refused_too(
    content: bytes | None, words: list[str], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    mapping = tmp_path / "m.toml"
    if content is not None:
        put(mapping, content)
    file = put(tmp_path / "a.csv", GOOD)
    refused(capsys, tmp_path, "load", file, "--mapping", mapping, "--store", tmp_path / "f", naming=words)


def test_a_column_that_the_file_lacks_sets_it_aside_where_it_is_needed(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = put(tmp_path / "a.csv", GOOD)
    for text, name in (
        ('[columns]\nserial = "sn"', "'sn'"),
        ('[failed]\ncolumn = "state"', "'state'"),
        ('[columns]\ndate = { file_name = "%Y-%m-%d" }', "its name holds no day written as %Y-%m-%d"),
    ):
        mapping = put(tmp_path / "m.toml", text)
        arguments = ("load", file, "--mapping", mapping, "--store", tmp_path / "f")
        refused(capsys, tmp_path, *arguments, naming=["a.csv: it", name])


def test_a_mapping_of_nothing_expects_our_own_names(tmp_path: Path) -> None:
    mapping = read_mapping(put(tmp_path / "m.toml", ""))
    assert mapping.theirs("serial") == "serial"
    assert (mapping.file.delimiter, mapping.file.encoding, mapping.date_format()) == (
        ",",
        "utf-8",
        "%Y-%m-%d",
    )
