"""Snapshots summed up on a real cluster of a master and two workers: the store is that of the embedded engine."""

from __future__ import annotations

import json
import math
import shutil
import threading
import time
from dataclasses import asdict, replace
from datetime import UTC, date, datetime, timedelta
from typing import TYPE_CHECKING

import duckdb
import numpy as np
import pyarrow as pa
import pyarrow.parquet as pq
import pytest
from against_twin import accounts_apart
from fleets import ALL_DIRT, Fleet, Size, make_fleet, mapping_toml, write_log
from fresh_python import fresh_python
from numpy.random import default_rng
from spark_cluster import SETTINGS, Processes, kill, running_cluster, skip_without_spark
from tiny_stores import fingerprint, put

from reliability.errors import LoadStopped, SourceError, StoreError
from reliability.loaders import reduce
from reliability.loaders.engine import Engine
from reliability.loaders.load import load
from reliability.loaders.manifest import commit, read_manifest
from reliability.loaders.mapping import read_mapping
from reliability.loaders.progress import Silent
from reliability.loaders.store import open_store
from reliability.loaders.workplace import Workplace

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence
    from pathlib import Path

    from pyspark.sql import SparkSession
    from spark_engine import SparkEngine

    from reliability.loaders.reading import Loaded

TABLES = ("lives", "whereabouts", "checks", "days_collected", "rejects", "removals")
DIRT = {kind: amount for kind, amount in ALL_DIRT.items() if kind != "torn"}  # Parquet has no torn lines
BUSY_ROWS = 400_000


@pytest.fixture(scope="module")
def cluster(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Processes]:
    skip_without_spark()
    with pytest.MonkeyPatch.context() as patch:
        folder = tmp_path_factory.mktemp("cluster")
        defaults = "".join(f"{name} {value}\n" for name, value in SETTINGS.items())
        patch.setenv("SPARK_CONF_DIR", str(put(folder / "conf" / "spark-defaults.conf", defaults).parent))
        patch.setenv("SPARK_LOCAL_IP", "127.0.0.1")
        with running_cluster(folder) as processes:
            yield processes


@pytest.fixture(scope="module")
def session(cluster: Processes) -> Iterator[SparkSession]:
    from pyspark.sql import SparkSession  # noqa: PLC0415  (only where it is installed)

    session = SparkSession.builder.master(cluster.master).appName("tests of driveyears").getOrCreate()
    yield session
    session.stop()


class Sources:
    """A dirty fleet as Parquet, a file a month, every cell as text; and how to load it."""

    def __init__(self, folder: Path, fleet: Fleet) -> None:
        self.folder, self.fleet = folder, fleet
        self.mapping = read_mapping(put(folder / "mapping.toml", mapping_toml(fleet.aliases, fleet.failure)))
        self.log = str(write_log(fleet.log, folder / "log.csv"))
        self.paths = [self._write(place) for place in range(len(fleet.files))]

    def _write(self, place: int) -> Path:
        file = self.fleet.files[place]
        path = self.folder / "snapshots" / f"{file.name}.parquet"
        path.parent.mkdir(exist_ok=True)
        columns = zip(*file.records, strict=True)
        pq.write_table(
            pa.table({n: pa.array(c, pa.string()) for n, c in zip(file.columns, columns, strict=True)}), path
        )
        return path

    def load(self, store: str, paths: Sequence[Path], spark: SparkSession | None = None) -> Loaded:
        names = [str(path) for path in paths]
        return load(names, self.folder / store, mapping=self.mapping, removals=[self.log], spark=spark)


@pytest.fixture(scope="module")
def sources(tmp_path_factory: pytest.TempPathFactory) -> Sources:
    fleet = make_fleet(default_rng(5), Size(14, 70, 3, 3), period="month", dirt=DIRT)
    found = Sources(tmp_path_factory.mktemp("fleet"), fleet)
    found.load("at home", found.paths)
    return found


def apart(one: Path, other: Path) -> list[str]:
    """Rows that one store has and the other has not, types of columns included; names of files by their last part."""
    here, there = read_manifest(one), read_manifest(other)
    pairs = [(name, here.tables[name], there.tables[name]) for name in TABLES]
    assert here.months.keys() == there.months.keys()
    for month, entry in here.months.items():
        pairs.append((f"stays of {month}", entry.stays, there.months[month].stays))
        assert (entry.repeats is None) == (there.months[month].repeats is None)
        if entry.repeats is not None:
            pairs.append((f"repeats of {month}", entry.repeats, str(there.months[month].repeats)))
    return [
        difference
        for name, ours, theirs in pairs
        for difference in rows_apart(name, one / ours, other / theirs)
    ]


def rows_apart(name: str, one: Path, other: Path) -> list[str]:
    found = []
    with duckdb.connect() as engine:
        kinds = [engine.read_parquet(str(path)) for path in (one, other)]
        if (kinds[0].columns, kinds[0].types) != (kinds[1].columns, kinds[1].types):
            found.append(f"{name}: columns {kinds[0].description} and {kinds[1].description}")
        shown = ", ".join(
            f"regexp_replace(url_decode(\"{column}\"), '[^ ]*/', '', 'g') as \"{column}\""
            if (name.partition(" ")[0], column)
            in {("rejects", "file"), ("checks", "detail"), ("repeats", "detail")}
            else f'"{column}"'
            for column in kinds[0].columns
        )
        for here, there in ((one, other), (other, one)):
            query = f"select {shown} from '{here}' except all select {shown} from '{there}'"  # noqa: S608  (our own)
            found += [f"{name}, only in {here}: {row}" for row in engine.sql(query).fetchall()]
    return found


# The first, for it needs the cores that the session of the others takes.
def test_the_command_loads_on_a_cluster_and_every_later_command_asks_the_store(
    cluster: Processes, sources: Sources, tmp_path: Path
) -> None:
    command = (
        "-m",
        "reliability",
        "load",
        str(sources.folder / "snapshots"),
        "--engine",
        "spark",
        "--format",
        "json",
    )
    options = (
        "--mapping",
        str(sources.folder / "mapping.toml"),
        "--removals",
        sources.log,
        "--master",
        cluster.master,
    )
    told = json.loads(fresh_python(*command, *options, "--store", str(tmp_path / "away")))
    assert told["rows_read"] == told["rows_kept"] + told["rows_rejected"] + told["duplicate_rows"]
    rates = ("-m", "reliability", "rates", "--format", "json", "--store")
    assert fresh_python(*rates, str(tmp_path / "away")) == fresh_python(
        *rates, str(sources.folder / "at home")
    )


def test_a_dirty_fleet_has_the_store_that_the_embedded_engine_makes(
    session: SparkSession, sources: Sources
) -> None:
    loaded = sources.load("at once", sources.paths, session)
    at_home, at_once = sources.folder / "at home", sources.folder / "at once"
    assert loaded.rows_read == loaded.rows_kept + loaded.rows_rejected + loaded.duplicate_rows
    assert min(loaded.rows_kept, loaded.rows_rejected, loaded.duplicate_rows) > 0
    accounts = [
        {**asdict(account), "name": account.name.removesuffix(".parquet")}
        for account in open_store(at_once).sources()
    ]
    assert accounts_apart(accounts, sources.fleet.truth()) == []
    assert apart(at_home, at_once) == []
    assert not (at_once / "snapshots").exists(), "they stay where they lie"
    assert sources.load("at once", sources.paths, session).files_unchanged == len(sources.paths)


def test_a_new_month_is_merged_as_if_all_had_come_at_once(
    session: SparkSession, sources: Sources, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(
        "reliability.loaders.cluster.engine.SLICE_ROWS", 10
    )  # so that stays come home in slices
    *months, last = sources.paths
    sources.load("by month", months, session)
    loaded = sources.load("by month", [*months, last], session)
    assert (loaded.files, loaded.files_unchanged) == (1, len(months))
    assert apart(sources.folder / "at home", sources.folder / "by month") == []


@pytest.fixture
def on_spark(session: SparkSession) -> SparkEngine:
    from spark_engine import SparkEngine  # noqa: PLC0415  (only where PySpark is installed)

    return SparkEngine(session)


def lives_made_by(engine: Engine, store: Path, folder: Path) -> Path:
    """Copy the stays of a store and have their lives made; the store with them."""
    shutil.copytree(store, folder)
    manifest = read_manifest(folder)
    place = Workplace(engine, folder, manifest.generation + 1)
    made, checkpoint = reduce.make_lives(place, replace(manifest, checkpoint=None), manifest.months)
    commit(folder, replace(manifest, tables=manifest.tables | made, checkpoint=checkpoint))
    return folder


def test_the_same_texts_make_the_same_lives_on_the_cluster(
    on_spark: SparkEngine, sources: Sources, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    at_home = sources.folder / "at home"
    on_cluster = lives_made_by(on_spark, at_home, tmp_path / "on the cluster")
    assert apart(at_home, on_cluster) == []
    monkeypatch.setattr(
        reduce, "BRIDGE_DAYS", 3
    )  # no longer the rule of the cluster: the comparison has to see it
    other = lives_made_by(Engine(), at_home, tmp_path / "by another rule")
    assert any(difference.startswith("lives, only in") for difference in apart(other, on_cluster))


def typed_columns() -> dict[str, pa.Array]:
    """Cells as programs write them, and as nobody should: moments, whole numbers, no numbers, spaces, odd numbers."""
    first = datetime(2026, 2, 1, 23, 59, tzinfo=UTC)
    days = 10
    return {
        "taken": pa.array(
            [first + timedelta(days=number) for number in range(days)], pa.timestamp("us", "UTC")
        ),
        "serial": pa.array([7] * days, pa.int64()),
        "model": pa.array(["\u00a0TARN T18\t", "TARN T18", "TARN\x01", " ", None, *["TARN T18"] * 5]),
        "state": pa.array([0, 0, 0, 0, 0, 0, 1, None, 2, 0], pa.int32()),
        "hours": pa.array([1.0, math.nan, 3.0, 4.0, 5.0, math.inf, 7.0, None, 9.0, 10.0]),
        "temperature_c": pa.array([20, 30, 40, None, 20, 30, 40, 20, 20, 30], pa.uint8()),
        "bytes_written": pa.array([1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 7.0, 8.0, 9.0, math.inf]),
        "media_errors": pa.array(["1", " +2 ", "1d", "1e3", "0x1p3", "1_000", ".5", "5.", "nan", ""]),
    }


ODD_DAYS = [
    " 2026-02-01",
    "2026-2-1\t",
    "-2026-02-01",
    "0026-02-01",
    "0999-12-31",
    "2999-01-01",
    "epoch",
    "",
    None,
    "x",
]


def counts_of(loaded: Loaded) -> tuple[int, ...]:
    return loaded.files, loaded.rows_kept, loaded.rows_rejected, loaded.duplicate_rows


MAPPING = """
[columns]
date = "taken"
power_on_hours = { column = "hours", scale = 0.5 }
[failed]
column = "state"
values = [1]
"""


def test_columns_of_any_type_are_judged_as_at_home(session: SparkSession, tmp_path: Path) -> None:
    source = tmp_path / "odd[1]names"
    put(source / "mapping.toml", MAPPING)
    columns = typed_columns()
    pq.write_table(pa.table(columns), source / "all[a]columns.parquet")
    pq.write_table(pa.table({**columns, "hours": columns["media_errors"]}), source / "hours_as_text.parquet")
    pq.write_table(
        pa.table({**columns, "serial": pa.array([True] * 10)}).drop(["model"]), source / "no_model.parquet"
    )
    pq.write_table(pa.table(columns).slice(0, 0), source / "empty.parquet")
    pq.write_table(pa.table({**columns, "taken": pa.array(ODD_DAYS)}), source / "days_as_text.parquet")
    put(source / "broken.parquet", b"PAR1 and no more")
    mapping = read_mapping(source / "mapping.toml")
    named = [str(path) for path in sorted(source.glob("*.parquet"))]
    at_home = load(named, tmp_path / "home", mapping=mapping)
    given = str(source).replace("[", "\\[").replace("]", "\\]")  # a path of Spark is a pattern
    away = load([given], tmp_path / "away", mapping=mapping, spark=session)
    assert len(away.set_aside) == len(at_home.set_aside) == 3
    assert counts_of(away) == counts_of(at_home)
    assert apart(tmp_path / "home", tmp_path / "away") == []


def test_the_day_in_the_name_of_a_file_is_read(session: SparkSession, tmp_path: Path) -> None:
    mapping = read_mapping(put(tmp_path / "mapping.toml", '[columns]\ndate = { file_name = "%Y%m%d" }\n'))
    for number in (1, 2, 3):
        path = put(tmp_path / "snapshots" / f"day-2026030{number}.parquet", b"")
        pq.write_table(pa.table({"serial": ["A", "B"], "model": ["M", "M"]}), path)
    load([str(tmp_path / "snapshots")], tmp_path / "home", mapping=mapping)
    load([str(tmp_path / "snapshots")], tmp_path / "away", mapping=mapping, spark=session)
    assert open_store(tmp_path / "away").last_day == date(2026, 3, 3)
    assert apart(tmp_path / "home", tmp_path / "away") == []


FORMATS = (
    "%Y-%m-%d",
    "%d.%m.%Y",
    "%-d.%-m.%Y",
    "%Y%m%d",
    "%d %b %Y",
    "%B %d, %Y",
    "%m/%d/%y",
    "%Y/%j",
    "%Y-%m-%d %H:%M:%S",
    "%Y-%m-%dT%H:%M:%S",
)
WRITTEN = (
    *(
        "2026-02-01",
        "2026-2-1",
        "2026-02-30",
        "2026-13-01",
        "2026-00-10",
        "02026-02-01",
        "2026-02-01x",
        "x",
        "",
    ),
    *(
        "1.2.2026",
        "01.02.2026",
        "31.02.2026",
        "29.02.2024",
        "20260201",
        "202602011",
        "1 Feb 2026",
        "01 FEB 2026",
    ),
    *(
        "February 1, 2026",
        "Feb 01, 2026",
        "2/1/26",
        "02/01/26",
        "02/01/2026",
        "2026/032",
        "2026/32",
        "2026/366",
    ),
    *("2026-02-01 03:04:05", "2026-02-01 3:4:5", "2026-02-01 24:00:00", "2026-02-01T03:04:05"),
)


def test_days_are_read_in_every_format_as_at_home(session: SparkSession) -> None:
    from pyspark.sql import functions as sql  # noqa: PLC0415  (only where it is installed)

    from reliability.loaders.cluster.day_format import as_spark_writes  # noqa: PLC0415  (its folder knows PySpark)
    from reliability.loaders.cluster.engine import Cluster  # noqa: PLC0415  (the same)

    texts = Cluster(session).session.createDataFrame(pa.table({"text": WRITTEN}))
    read = [sql.try_to_timestamp("text", sql.lit(as_spark_writes(form))).cast("date") for form in FORMATS]
    away = {text: days for text, *days in texts.select("text", *read).collect()}
    with duckdb.connect() as engine:
        ask = "select try_cast(try_strptime($text, $form) as date)"
        at_home = {
            text: [engine.execute(ask, {"text": text, "form": form}).fetchall()[0][0] for form in FORMATS]
            for text in WRITTEN
        }
    assert away == at_home
    assert all(any(days[place] for days in away.values()) for place in range(len(FORMATS)))


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


@pytest.mark.parametrize("name", ["nothing here", "only.csv"])
def test_where_no_parquet_lies_nothing_is_loaded(session: SparkSession, tmp_path: Path, name: str) -> None:
    put(tmp_path / "only.csv" / "x.csv", "date,serial,model\n")
    with pytest.raises(SourceError, match="The cluster"):
        load([str(tmp_path / name)], tmp_path / "away", spark=session)
    assert not (tmp_path / "away").exists()


def test_a_worker_that_dies_in_mid_job_changes_nothing(
    session: SparkSession, cluster: Processes, tmp_path: Path
) -> None:
    rng = default_rng(3)
    drives = np.repeat(np.arange(BUSY_ROWS // 28), 28)
    days = np.tile(np.arange(28), BUSY_ROWS // 28)
    dates = (np.datetime64("2026-02-01") + days).astype("datetime64[D]")
    columns = {
        "date": dates,
        "serial": np.char.add("D", drives.astype(str)),
        "model": np.full(len(days), "TARN T18"),
    }
    table = pa.table(
        {**columns, "power_on_hours": 24.0 * days, "media_errors": rng.poisson(0.1, len(days)) * 1.0}
    )
    for number in range(8):
        path = put(tmp_path / "in" / f"{number}.parquet", b"")
        pq.write_table(table.take(np.arange(number, len(days), 8)), path)
    load([str(tmp_path / "in")], tmp_path / "home")
    watch = Watch()
    told = {"spark": session, "progress": watch}
    under_way = threading.Thread(target=load, args=([str(tmp_path / "in")], tmp_path / "away"), kwargs=told)
    under_way.start()
    assert watch.reducing.wait(300), "the rows were judged"
    until = time.monotonic() + 120
    while not tasks_are_running(session) and under_way.is_alive() and time.monotonic() < until:
        time.sleep(0.01)
    assert under_way.is_alive(), "a job was running"
    kill(cluster.workers[0])
    under_way.join(300)
    assert "Removing worker" in cluster.log.read_text(encoding="utf-8")
    assert apart(tmp_path / "home", tmp_path / "away") == []


class Watch(Silent):
    """Notes when the months are being summed up."""

    def __init__(self) -> None:
        self.reducing = threading.Event()

    def step(self, words: str) -> None:
        if words.startswith("reducing"):
            self.reducing.set()


def tasks_are_running(session: SparkSession) -> bool:
    tracker = session.sparkContext.statusTracker()
    stages = [tracker.getStageInfo(stage) for stage in tracker.getActiveStageIds()]
    return any(stage is not None and stage.numActiveTasks > 0 for stage in stages)
