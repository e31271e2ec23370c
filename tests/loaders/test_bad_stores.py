"""A store that cannot be used, or a place where there can be none; and what a store never touches."""

from __future__ import annotations

import fcntl
import json
import os
import shutil
from typing import TYPE_CHECKING

import pytest
from tiny_stores import GOOD, fingerprint, good, loaded, manifest, put, refused, said

from reliability.errors import QuestionError, StoreError
from reliability.loaders.load import load
from reliability.loaders.store import open_store

if TYPE_CHECKING:
    from pathlib import Path

QUESTIONS: tuple[tuple[str, ...], ...] = (("rates",), ("checks",), ("report", "--quarter", "2025Q1"))


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A small store with its source."""
    folder = tmp_path_factory.mktemp("made")
    load([str(put(folder / "a.csv", GOOD))], folder / "fleet")
    return folder


@pytest.fixture
def store(made: Path, tmp_path: Path) -> Path:
    """A copy of the small store."""
    shutil.copytree(made, tmp_path, dirs_exist_ok=True)
    return tmp_path / "fleet"


@pytest.mark.parametrize("question", QUESTIONS, ids=lambda question: question[0])
def test_no_store_is_told_with_the_way_to_one(
    question: tuple[str, ...], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    nowhere = tmp_path / "nowhere"
    naming = [f"There is no store in {nowhere}", f"driveyears load SOURCE --store {nowhere}"]
    refused(capsys, tmp_path, *question, "--store", nowhere, naming=naming)


MANIFESTS: dict[str, tuple[str | None, list[str]]] = {
    "other version": (
        '{"format": 1}',
        ["is of version 1; this driveyears reads version 2", "another folder"],
    ),
    "no version": ("{}", ["is of version None"]),
    "a list": ("[]", ["is of version None"]),
    "empty": ("", ["cannot be read: manifest.json", "Restore it, or load anew"]),
    "cut off": (None, ["cannot be read: manifest.json", "Restore it, or load anew"]),
    "bytes": ("\x00\x01", ["cannot be read: manifest.json"]),
    "other types": ('{"format": 2, "months": 5}', ["manifest.json", "$.months"]),
    "no rules": ('{"format": 2, "read_in_place": {"a": 5}}', ["manifest.json", "$.read_in_place['a']"]),
    "other rows": ('{"format": 2, "sources": {"a": {}}}', ["manifest.json", "$.sources['a']"]),
}


@pytest.mark.parametrize("case", MANIFESTS)
def test_a_manifest_that_cannot_be_used_is_told_by_questions_and_loads(
    case: str, store: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    text, words = MANIFESTS[case]
    whole = (store / "manifest.json").read_text(encoding="utf-8")
    put(store / "manifest.json", whole[: len(whole) // 2] if text is None else text)
    naming = [f"The store in {store}", *words]
    file = put(tmp_path / "b.csv", good("C"))
    for question in (*QUESTIONS, ("load", file)):
        refused(capsys, tmp_path, *question, "--store", store, naming=naming)


@pytest.mark.parametrize("name", ["lives", "whereabouts", "checks", "days_collected"])
def test_a_table_that_is_gone_or_torn_is_told(
    name: str, store: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = store / manifest(store)["tables"][name]
    naming = [f"The store in {store} cannot be read", path.name, "Restore it, or load the files anew"]
    questions = {"whereabouts": ("rates",), "days_collected": ("report", "--quarter", "2025Q1")}
    for content in (b"PAR1 and no more", None):
        path.unlink()
        if content is not None:
            put(path, content)
        refused(capsys, tmp_path, *questions.get(name, ("checks",)), "--store", store, naming=naming)


def test_a_store_held_by_another_process_says_by_whom(
    store: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = put(tmp_path / "b.csv", good("C"))
    with (store / ".lock").open(
        "w", encoding="utf-8"
    ) as lock:  # two handles of one process exclude each other, too
        fcntl.flock(lock, fcntl.LOCK_EX)
        lock.write("4711")
        lock.flush()
        naming = [f"The store in {store} is held by another load (process 4711)", "Wait for it to end"]
        refused(capsys, tmp_path, "load", file, "--store", store, naming=naming)
        assert said(capsys, "rates", "--store", store).code == 0, "questions need no lock"
    assert loaded(capsys, store, file)["drives"] == 3
    assert (store / ".lock").read_text(encoding="utf-8") == str(os.getpid())


def test_there_is_no_store_where_a_file_stands(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = put(tmp_path / "a.csv", GOOD)
    put(tmp_path / "locked" / ".lock" / "a folder", "")
    for place, why in (
        ("a.csv", "File exists"),
        ("a.csv/deep", "Not a directory"),
        ("locked", "Is a directory"),
    ):
        naming = [f"There can be no store in {tmp_path / place}: {why}", "--store"]
        refused(capsys, tmp_path, "load", file, "--store", tmp_path / place, naming=naming)


def test_what_is_not_there_is_told_with_what_is(store: Path) -> None:
    opened = open_store(store)
    for ask in (opened.lives, opened.risk_table):
        with pytest.raises(
            QuestionError, match=r"There is no model 'TARN' in the store; its models are 'TARN T18'\."
        ):
            ask("TARN")
    with pytest.raises(StoreError, match="There is no store in"):
        open_store(store / "deeper")


def test_nothing_but_its_own_files_is_ever_removed(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    # A store made where the sources are: nothing of these is the store's, whatever the names look like.
    monkeypatch.chdir(tmp_path)
    for name in (
        "mine.parquet",
        "deep/lives-9.parquet",
        "notes.part",
        "snapshots/mine.parquet",
        "carried/x.csv",
    ):
        put(tmp_path / name, name)
    (tmp_path / "hollow").mkdir()
    theirs = fingerprint(tmp_path)
    for number in range(3):
        loaded(capsys, tmp_path, put(tmp_path / f"{number}.csv", good(f"A{number}")))
        assert theirs.items() <= fingerprint(tmp_path).items()
    refused(capsys, tmp_path, "load", "mine.parquet", "--store", tmp_path, naming=["mine.parquet"])


def test_its_own_files_are_no_source(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    put(tmp_path / "a.csv", GOOD)
    loaded(capsys, tmp_path / "fleet", ".")
    before = fingerprint(tmp_path)
    found = loaded(
        capsys, tmp_path / "fleet", "."
    )  # above the store, and the store's folder is called as by default
    assert (found["files"], found["files_set_aside"], found["drives"]) == (0, 0, 2)
    assert fingerprint(tmp_path) == before
    naming = ["These are the files of the store in fleet itself; name those of your source."]
    refused(capsys, tmp_path, "load", "fleet", naming=naming)


def test_what_a_load_that_did_not_end_has_left_is_swept_by_the_next(
    store: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    left = (
        "lives-2.parquet",
        "carried/drives-2.parquet",
        "snapshots/month=2025-03/2-0.parquet",
        "snapshots/month=2031-01/2-0.parquet",
        "stays/month=2025-03/stays-7.parquet",
        ".manifest.json.4711.part",
        ".work/aside/member.csv",
        ".work/spill.tmp",
    )
    before = fingerprint(store)
    for name in left:
        put(store / name, "torn")
    loaded(capsys, store, tmp_path / "a.csv")
    assert fingerprint(store) == before
    for name in left:
        put(store / name, "torn")
    loaded(capsys, store, put(tmp_path / "b.csv", good("C")))
    assert not any(path.is_file() and path.read_bytes() == b"torn" for path in store.rglob("*"))
    assert said(capsys, "rates", "--store", store).code == 0


def test_only_the_files_of_this_load_and_of_the_one_before_are_kept(
    store: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    opened = open_store(store)
    for number in range(2):
        loaded(capsys, store, put(tmp_path / f"{number}.csv", good(f"A{number}")))
        kept = {path.name for path in store.glob("lives-*.parquet")}
        assert kept == {f"lives-{number + 1}.parquet", f"lives-{number + 2}.parquet"}
        if number == 0:
            assert opened.exposure().total.drives == 2, (
                "who opened the store before the load reads it as it was"
            )


def test_the_manifest_is_text_that_people_can_read(store: Path) -> None:
    found = json.loads((store / "manifest.json").read_text(encoding="utf-8"))
    assert found["format"] == 2
    ((name, source),) = found["sources"].items()
    assert name.endswith("/a.csv")
    assert (source["rows_read"], source["rows_kept"], source["rows_rejected"], source["duplicate_rows"]) == (
        3,
        3,
        0,
        0,
    )
    assert list(source["parts"]) == ["2025-03"]
