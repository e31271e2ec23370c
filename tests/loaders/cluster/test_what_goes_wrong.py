"""Files that changed, broke off or are gone, and stores that hold their snapshots elsewhere: told, and nothing lost."""

from __future__ import annotations

import json
from contextlib import nullcontext
from datetime import date, timedelta
from typing import TYPE_CHECKING

import pyarrow as pa
import pyarrow.parquet as pq
import pytest
from tiny_stores import fingerprint, manifest, put, refused

from reliability.errors import LoadStopped, SourceError, StoreError
from reliability.loaders.load import load
from reliability.loaders.manifest import read_manifest
from reliability.loaders.store import open_store

if TYPE_CHECKING:
    from pathlib import Path

    from pyspark.sql import SparkSession


def small_file(path: Path, days: int, serial: str = "A") -> Path:
    first = date(2025, 3, 1)
    dates = [first + timedelta(days=number) for number in range(days)]
    path.parent.mkdir(parents=True, exist_ok=True)
    pq.write_table(pa.table({"date": dates, "serial": [serial] * days, "model": ["TARN T18"] * days}), path)
    return path


def test_a_replaced_file_replaces_its_rows_and_a_lost_one_is_asked_for(
    session: SparkSession, tmp_path: Path
) -> None:
    first, second = (small_file(tmp_path / "in" / name, 9, name[0]) for name in ("a.parquet", "b.parquet"))
    load([str(first), str(second)], tmp_path / "away", spark=session)
    small_file(first, 4)
    load([str(first)], tmp_path / "away", spark=session)
    assert [life.drive_days for life in open_store(tmp_path / "away").lives().itertuples()] == [4, 9]
    before = fingerprint(tmp_path / "away")
    second.rename(tmp_path / "elsewhere.parquet")
    small_file(first, 5)
    with pytest.raises(SourceError, match=r"b\.parquet is not as it was when it was loaded.*put it back\."):
        load([str(first)], tmp_path / "away", spark=session)
    assert fingerprint(tmp_path / "away") == before


def test_all_rejected_rows_are_counted_and_the_first_of_each_file_listed(
    session: SparkSession, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("reliability.loaders.cluster.in_place.LISTED_REJECTS", 2)
    for name in ("a", "b"):
        small_file(tmp_path / "in" / f"{name}.parquet", 9, serial="")
    loaded = load([str(tmp_path / "in")], tmp_path / "away", spark=session)
    assert (loaded.rows_read, loaded.rows_kept, loaded.rows_rejected) == (18, 0, 18)
    listed = pq.read_table(tmp_path / "away" / read_manifest(tmp_path / "away").tables["rejects"]).to_pylist()
    assert [(row["file"][-9:], row["line"], row["reason"]) for row in listed] == [
        (f"{name}.parquet", line, "no serial") for name in "ab" for line in (1, 2)
    ]


def test_a_file_that_breaks_off_stops_the_load_with_its_name(session: SparkSession, tmp_path: Path) -> None:
    path = small_file(tmp_path / "in" / "good at its end.parquet", 200)
    content = bytearray(path.read_bytes())
    content[4:400] = bytes(396)  # the pages; its footer is whole
    put(path, bytes(content))
    with pytest.raises(LoadStopped, match=r"as it was: .*good%20at%20its%20end\.parquet"):
        load([str(path)], tmp_path / "away", spark=session)
    assert not (tmp_path / "away").exists()


def test_a_store_holds_its_snapshots_itself_or_none(session: SparkSession, tmp_path: Path) -> None:
    path = str(small_file(tmp_path / "a.parquet", 3))
    load([path], tmp_path / "home")
    load([path], tmp_path / "away", spark=session)
    with pytest.raises(StoreError, match="another folder with --store"):
        load([path], tmp_path / "home", spark=session)
    with pytest.raises(StoreError, match="--engine spark"):
        load([path], tmp_path / "away")
    log = str(put(tmp_path / "log.csv", "serial,date,outcome\nA,2025-03-03,retired\n"))
    load([], tmp_path / "away", removals=[log])  # for this no cluster is needed
    assert list(open_store(tmp_path / "away").lives()["outcome"]) == ["retired"]


def test_rules_that_somebody_changed_are_refused_before_anything_is_read(
    session: SparkSession,
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr("reliability.cli.load.session_at", lambda _: nullcontext(session))
    store, path = tmp_path / "away", small_file(tmp_path / "a.parquet", 3)
    load([str(path)], store, spark=session)
    known = manifest(store)
    ((digest, rules),) = known["read_in_place"].items()
    rules["columns"]["serial"] = {"column": "model"}
    put(store / "manifest.json", json.dumps(known))
    command = ("load", path, "--store", store, "--engine", "spark", "--master", "the one of the session")
    naming = [f"The store in {store} cannot be read", f"$.read_in_place['{digest}']", "into another folder."]
    for days in (3, 4):
        small_file(path, days)
        refused(capsys, tmp_path, *command, naming=naming)
    assert len(open_store(store).lives()) == 1, "a question needs no rules"


@pytest.mark.parametrize("name", ["nothing here", "only.csv"])
def test_where_no_parquet_lies_nothing_is_loaded(session: SparkSession, tmp_path: Path, name: str) -> None:
    put(tmp_path / "only.csv" / "x.csv", "date,serial,model\n")
    with pytest.raises(SourceError, match="The cluster"):
        load([str(tmp_path / name)], tmp_path / "away", spark=session)
    assert not (tmp_path / "away").exists()
