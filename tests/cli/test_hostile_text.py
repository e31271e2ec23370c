"""Text of the data comes through every form of output unharmed, and does nothing there."""

from __future__ import annotations

import csv
import io
import re
from typing import TYPE_CHECKING

import pytest
from tiny_stores import csv_of, put, rows, said, table

from reliability.loaders.load import load

if TYPE_CHECKING:
    from pathlib import Path

MODELS = (
    "[red]TARN[/red]",
    "[/]",
    "=1+1",
    "-x",
    "@SUM(A1)",
    "T18 \U0001f600",
    "\u05d0\u05d1\u05d2 T",
    "\u202eT18\u202c",
    'say "T", or',
    "a;b|c",
    "M" * 300,
    "<script>alert(1)</script>",
    "{model} %s $x",
)
SITES = (
    "[bold]quay",
    "=cmd()",
    "a\x1b[31mb",
    "tab\there",
    "two\nlines",
    "bell\x07",
    "\U0001f3ed",
    "\u0634\u0631\u0642",
    "",
    "s" * 250,
    "\x9b31m",
    "NULL",
    "\\n",
)
SERIALS = tuple(
    f"{n}{sign}"
    for n, sign in enumerate(("[red]", "=1+1", "\U0001f600", "\u202e", "x" * 400, "'", '"', "%", "{}"))
)


@pytest.fixture(scope="module")
def store(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("hostile")
    history = [
        rows(f"{number}", range(3), model=model, site=site)
        for number, (model, site) in enumerate(zip(MODELS, SITES, strict=True))
    ]
    history += [rows(serial, range(3), model="[/]", site="=cmd()") for serial in SERIALS]
    load([str(put(folder / "[red]a.csv", csv_of(*history) + "soon,[red],M,\n"))], folder / "[red]fleet")
    return folder / "[red]fleet"


PAIRS = {(model, site or None) for model, site in zip(MODELS, SITES, strict=True)}


def test_it_is_kept_as_it_is(store: Path) -> None:
    assert {row["serial"] for row in table(store, "lives")} >= set(SERIALS)
    assert {row["model"] for row in table(store, "lives")} == set(MODELS)


def test_json_and_csv_give_it_back_as_it_is(store: Path, capsys: pytest.CaptureFixture[str]) -> None:
    asked = ("rates", "--by", "model,site", "--store", store, "--format")
    found = said(capsys, *asked, "json").json["rows"]
    assert {(row["model"], row["site"]) for row in found} == PAIRS
    lines = list(csv.DictReader(io.StringIO(said(capsys, *asked, "csv").out, newline=""), strict=True))
    assert {(line["model"], line["site"] or None) for line in lines} == PAIRS


def test_a_table_shows_it_whole_as_text_and_obeys_nothing_in_it(
    store: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    models = said(capsys, "rates", "--store", store)
    sites = said(capsys, "rates", "--by", "site", "--store", store)
    assert (models.code, sites.code) == (0, 0)
    for shown, texts in ((models.out, MODELS), (sites.out, SITES)):
        assert not re.search(r"[\x00-\x09\x0b-\x1f\x7f-\x9f]", shown), "no control character but the line end"
        for text in texts:
            visible = "".join(
                c.encode("unicode_escape").decode() if re.match(r"[\x00-\x1f\x7f-\x9f]", c) else c
                for c in text
            )
            assert visible in shown.replace("\n", "") or len(text) > 200
    assert models.out.count("M") >= 300, "a long name is folded, not cut"
    assert sites.out.count("s") >= 250
    assert "not told" in sites.out


def test_paths_of_the_store_and_of_files_are_shown_as_they_are(
    store: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    found = said(capsys, "load", store.parent / "[red]a.csv", "--store", tmp_path / "[bold]f")
    assert f"Loaded into {tmp_path}/[bold]f" in found.out
    assert f"{tmp_path}/[bold]f/rejects-1.parquet" in found.out
    put(tmp_path / "[blink].csv", "")
    assert (
        f"set aside {tmp_path}/[blink].csv"
        in said(
            capsys, "load", tmp_path / "*.csv", store.parent / "[red]a.csv", "--store", tmp_path / "[bold]f"
        ).err
    )
    checks = said(capsys, "checks", "--store", tmp_path / "[bold]f").out
    assert f"{tmp_path}/[blink].csv" in checks
    assert f"{tmp_path}/[bold]f/checks-" in checks


def test_messages_obey_nothing_in_what_they_tell_of(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    put(tmp_path / "odd" / "a.csv", "da\x1b[31mte,ser\x07ial\n2025-03-01,A\n")
    refused = said(capsys, "load", tmp_path / "odd", "--store", tmp_path / "f")
    assert refused.code == 2
    put(tmp_path / "odd" / "b.csv", csv_of(rows("A", range(3))))
    loaded = said(capsys, "load", tmp_path / "odd", "--store", tmp_path / "f")
    assert loaded.code == 0
    proposed = said(capsys, "mapping", tmp_path / "odd" / "a.csv")
    for told in (refused.err, loaded.err, proposed.err):
        assert r"da\x1b[31mte" in told
        assert not re.search(r"[\x00-\x09\x0b-\x1f\x7f-\x9f]", told), "no control character but the line end"


def test_compare_and_report_take_it_as_text(
    store: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    sheets = "".join(f"[[datasheet]]\nmodel = '''{model}'''\nafr_percent = 0.5\n" for model in MODELS)
    path = put(tmp_path / "sheets.toml", sheets)
    found = said(capsys, "compare", "--datasheets", path, "--store", store, "--format", "json").json
    assert {row["model"] for row in found["models"]} == set(MODELS)
    shown = said(capsys, "compare", "--datasheets", path, "--store", store)
    assert shown.code == 0
    assert "[red]TARN[/red]: " in shown.out
    asked = (
        "report",
        "--quarter",
        "2025Q1",
        "--datasheets",
        path,
        "--out",
        tmp_path / "out",
        "--store",
        store,
    )
    assert said(capsys, *asked).code == 0
    page = (tmp_path / "out" / "2025Q1.html").read_text(encoding="utf-8")
    assert "<script>alert" not in page
    assert "&lt;script&gt;alert(1)" in page
