"""What is missing for a cluster is told in one sentence; the store is as it was, for there is none yet."""

from __future__ import annotations

import importlib.util
import socket
from pathlib import Path

import pytest
from tiny_stores import GOOD, put, said

from reliability.loaders.cluster import session
from reliability.loaders.cluster.session import what_is_missing


@pytest.fixture
def source(tmp_path: Path) -> Path:
    return put(tmp_path / "a.csv", GOOD)


@pytest.fixture
def as_if_installed(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(session, "find_spec", lambda _: importlib.util.find_spec("json"))


@pytest.mark.parametrize("options", [("--engine", "spark"), ("--master", "spark://127.0.0.1:7077")])
def test_engine_and_master_go_together(
    source: Path, options: tuple[str, ...], capsys: pytest.CaptureFixture[str]
) -> None:
    told = said(capsys, "load", source, *options)
    assert told.code == 2
    assert "name both, as in --engine spark --master spark://HOST:7077" in told.err


def test_without_pyspark_it_says_what_to_install(
    source: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(session, "find_spec", lambda _: None)
    told = said(capsys, "load", source, "--engine", "spark", "--master", "spark://127.0.0.1:7077")
    assert (told.code, told.err.count("\n")) == (2, 1)
    assert "PySpark 4, which is not installed; install driveyears[spark]" in told.err


@pytest.mark.usefixtures("as_if_installed")
def test_without_java_it_says_what_to_install(
    source: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    monkeypatch.delenv("JAVA_HOME", raising=False)
    monkeypatch.setenv("PATH", str(tmp_path))
    told = said(capsys, "load", source, "--engine", "spark", "--master", "spark://127.0.0.1:7077")
    assert (told.code, told.err.count("\n")) == (2, 1)
    assert "there is no java here; install it (on Debian openjdk-17-jre-headless)" in told.err
    monkeypatch.setenv("JAVA_HOME", str(tmp_path))
    assert f"JAVA_HOME names {tmp_path}, which has no bin/java" in str(what_is_missing())


@pytest.mark.usefixtures("as_if_installed")
@pytest.mark.parametrize(
    ("master", "why"),
    [
        ("spark://127.0.0.1:{closed}", "check the address"),
        ("spark://nowhere", "write it as spark://HOST:7077"),
        ("nowhere:7077", "write it as spark://HOST:7077"),
    ],
)
def test_where_no_master_answers_it_says_so_at_once(
    source: Path, master: str, why: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(session, "what_is_missing", lambda: None)
    with socket.create_server(("127.0.0.1", 0)) as server:
        closed = server.getsockname()[1]
    told = said(capsys, "load", source, "--engine", "spark", "--master", master.format(closed=closed))
    assert (told.code, told.err.count("\n")) == (2, 1)
    assert why in told.err
    assert not Path("fleet").exists()
