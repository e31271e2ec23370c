"""The removal log: rows that are no entry are rejected, what is no log refused; it is never read as snapshots."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from tiny_stores import GOOD, csv_of, lives, loaded, manifest, put, refused, rejects, rows, said, table

if TYPE_CHECKING:
    from pathlib import Path

HEADER = "serial,date,outcome,model,reason\n"
NAMES = "Name them serial, date, outcome, and model and reason where there are any."
REFUSED: dict[str, tuple[bytes | None, list[str]]] = {
    "no outcome": (
        b"serial,date\nA,2025-03-02\n",
        ["no column 'outcome'", "its columns are serial, date", NAMES],
    ),
    "empty": (b"", ["no column 'serial', 'date', 'outcome'", "its columns are none", NAMES]),
    "semicolons": (
        HEADER.replace(",", ";").encode(),
        ["its columns are serial;date;outcome;model;reason", NAMES],
    ),
    "latin-1": (
        (HEADER + "A,2025-03-02,failed,,é\n").encode("latin-1"),
        ["is not utf-8", "Save it as utf-8"],
    ),
    "twice": (b"serial,date,outcome,date\nA,2025-03-02,failed,x\n", ["names the column 'date' twice"]),
    "quotes": ((HEADER + 'A,2025-03-02,failed,,"x"y\n').encode(), ["line 2", "Mend it there"]),
    "open quote": ((HEADER + 'A,2025-03-02,failed,,"x\n').encode(), ["line 2", "Mend it there"]),
    "missing": (None, ["cannot be read: No such file or directory", "Check the path"]),
}


@pytest.mark.parametrize("case", REFUSED)
def test_what_is_no_log_is_refused_with_the_snapshots_beside_it(
    case: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    content, words = REFUSED[case]
    log = tmp_path / "removals.csv" if content is None else put(tmp_path / "removals.csv", content)
    file = put(tmp_path / "a.csv", GOOD)
    naming = [f"The removal log {log} ", *words]
    refused(capsys, tmp_path, "load", file, "--removals", log, "--store", tmp_path / "fleet", naming=naming)


def test_a_folder_is_no_log(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    naming = [f"The removal log {tmp_path} cannot be read: Is a directory"]
    refused(capsys, tmp_path, "load", "--removals", tmp_path, "--store", tmp_path / "fleet", naming=naming)


def test_rows_that_are_no_entry_are_rejected_with_their_line_and_the_rest_is_used(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    text = (
        HEADER
        + 'A,2025-03-02,FAILED,,"two\nlines"\n'
        + "\n"
        + "B,2025-13-02,failed,,\n"
        + "B,2025-W10-1,failed,,\n"
        + "B,,failed,,\n"
        + "B,2025-03-02,lost,,\n"
        + "  ,2025-03-02,failed,,\n"
        + '"B",2025-03-02,"failed\n",,a reason with \u2028 and \x0b in it\n'
        + "B,2025-03-02,failed\n"
        + 'B,soon,failed,,"three\n\nlines"\n'
        + "B,later,failed,,\n"
    )
    no_date = "no date written as %Y-%m-%d"
    store = tmp_path / "fleet"
    log = put(tmp_path / "removals.csv", "\ufeff" + text)
    found = loaded(capsys, store, put(tmp_path / "a.csv", GOOD), "--removals", log)
    assert rejects(store) == [
        (5, "date", "2025-13-02", no_date),
        (6, "date", "2025-W10-1", no_date),
        (7, "date", "", no_date),
        (8, "outcome", "lost", "an outcome is one of failed, retired, moved"),
        (9, "serial", "", "no serial"),
        (12, None, "B,2025-03-02,failed", "3 cells where the header has 5"),
        (13, "date", "soon", no_date),
        (16, "date", "later", no_date),
    ]
    kept = {(row["serial"], row["outcome"], row["reason"]) for row in table(store, "removals")}
    reason = "a reason with \u2028 and \x0b in it"
    assert kept == {("A", "failed", "two\nlines"), ("B", "failed", reason)}
    (entry,) = manifest(store)["logs"].values()
    assert (entry["rows_read"], entry["rows_kept"], entry["rows_rejected"]) == (10, 2, 8)
    assert (found["failed"], found["rows_rejected"]) == (2, 0), "its rows are no rows of snapshots"


@pytest.mark.parametrize("end", ["\r\n", "\r"])
def test_a_log_with_other_line_ends_is_read(
    end: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    log = put(tmp_path / "r.csv", (HEADER + "A,2025-03-02,retired,,\nB,x,failed,,\n").replace("\n", end))
    found = loaded(capsys, tmp_path / "fleet", put(tmp_path / "a.csv", GOOD), "--removals", log)
    assert found["retired"] == 1
    assert [row[:3] for row in rejects(tmp_path / "fleet")] == [(3, "date", "x")]


def test_it_is_never_read_as_snapshots(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    columns = "date,serial,model,outcome"  # everything that a file of snapshots needs, too
    log = put(tmp_path / "source" / "removals.csv", f"{columns}\n2025-03-02,A,TARN T18,failed\n")
    file = put(tmp_path / "source" / "a.csv", GOOD)
    store = tmp_path / "fleet"
    looks = [
        "removals.csv",
        "it has a column 'outcome' and looks like a removal log; give it with --removals",
    ]
    refused(capsys, tmp_path, "load", log, "--store", store, naming=looks)
    beside = loaded(capsys, store, tmp_path / "source")
    assert (beside["files"], beside["files_set_aside"], beside["failed"]) == (1, 1, 0)
    assert all(word in beside["told"] for word in looks)
    given = loaded(capsys, store, tmp_path / "source", "--removals", log)
    assert (given["files_set_aside"], given["told"], given["failed"]) == (0, "", 1)
    assert manifest(store)["set_aside"] == {}, "it has found its place"
    assert list(manifest(store)["sources"]) == [str(file)]
    words = ["No file of snapshots was named, only the removal log"]
    refused(capsys, tmp_path, "load", log, "--removals", log, "--store", store, naming=words)


def test_a_column_outcome_that_the_mapping_uses_makes_it_snapshots(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = put(tmp_path / "a.csv", csv_of(rows("A", range(3), outcome={0: "ok", 1: "ok", 2: "gone"})))
    mapping = put(tmp_path / "m.toml", '[failed]\ncolumn = "outcome"\nvalues = ["gone"]\n')
    loaded(capsys, tmp_path / "fleet", file, "--mapping", mapping)
    assert lives(tmp_path / "fleet") == [("A", 0, 2, "failed")]


def test_a_log_alone_is_taken_and_waits_for_the_drives(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    log = put(tmp_path / "r.csv", HEADER + "A,2025-03-02,failed,,\n")
    store = tmp_path / "fleet"
    assert loaded(capsys, store, "--removals", log)["drives"] == 0
    assert said(capsys, "checks", "--store", store).code == 0
    assert loaded(capsys, store, put(tmp_path / "a.csv", GOOD))["failed"] == 1


def test_a_changed_log_replaces_its_entries_and_the_same_one_changes_nothing(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    store, log, other = tmp_path / "fleet", tmp_path / "r.csv", tmp_path / "s.csv"
    put(log, HEADER + "A,2025-03-02,failed,,\nx,x,x,,\n")
    put(other, HEADER + "B,2025-03-01,retired,,\n")
    loaded(capsys, store, put(tmp_path / "a.csv", GOOD), "--removals", log, "--removals", other)
    before = (store / "manifest.json").read_bytes()
    loaded(capsys, store, "--removals", log)
    assert (store / "manifest.json").read_bytes() == before
    put(log, HEADER + "A,2025-03-02,retired,,\n")
    found = loaded(capsys, store, "--removals", log)
    assert (found["failed"], found["retired"]) == (0, 2)
    assert rejects(store) == []


def test_an_entry_of_a_day_to_come_is_kept_and_used_when_the_data_reach_it(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    store = tmp_path / "fleet"
    log = put(tmp_path / "r.csv", HEADER + "A,2025-03-03,failed,,\n")
    assert loaded(capsys, store, put(tmp_path / "a.csv", GOOD), "--removals", log)["failed"] == 0
    later = put(tmp_path / "b.csv", csv_of(rows("B", [1, 2, 3])))
    assert loaded(capsys, store, later)["failed"] == 1
