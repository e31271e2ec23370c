"""A standalone Spark cluster on loopback: a master and two workers, each a process group, ended by its number."""

from __future__ import annotations

import os
import signal
import socket
import subprocess
import time
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from importlib.util import find_spec
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from reliability.loaders.cluster.session import what_is_missing

if TYPE_CHECKING:
    from collections.abc import Iterator

PATIENCE = 180.0  # seconds for a process to come up on a busy machine
SHORT_LIVED = (
    "-XX:TieredStopAtLevel=1 -XX:+UseSerialGC"  # Java that runs for a minute is not worth optimising
)
SETTINGS = {
    "spark.log.level": "ERROR",
    "spark.ui.enabled": "false",
    "spark.ui.showConsoleProgress": "false",
    "spark.driver.host": "127.0.0.1",
    "spark.driver.bindAddress": "127.0.0.1",
    "spark.driver.extraJavaOptions": SHORT_LIVED,
    "spark.executor.extraJavaOptions": SHORT_LIVED,
    "spark.executor.memory": "600m",
    "spark.cores.max": "2",
    "spark.sql.shuffle.partitions": "2",
    "spark.sql.adaptive.enabled": "false",  # of two tasks nothing can be saved
}


def skip_without_spark() -> None:
    """Leave a test out, with one line on what is missing: the one reason for which a test is left out."""
    missing = what_is_missing()
    if missing is not None:
        pytest.skip(missing)


@dataclass(frozen=True, slots=True)
class Processes:
    """The cluster while it runs."""

    master: str
    log: Path  # the master's
    workers: tuple[subprocess.Popen[bytes], ...]


@contextmanager
def running_cluster(folder: Path) -> Iterator[Processes]:
    """Run a master and two workers, each with room for two programs at a time; all are ended, whatever happens."""
    port = _free_port()
    master = f"spark://127.0.0.1:{port}"
    started: list[subprocess.Popen[bytes]] = []
    try:
        arguments = ("master.Master", "--host", "127.0.0.1", "--port", str(port), "--webui-port", "0")
        started.append(_start(folder, "master", *arguments))
        _wait_for(folder / "master.log", "New state: ALIVE", 1)
        for name in ("one", "two"):
            place = ("--host", "127.0.0.1", "--webui-port", "0", "--work-dir", str(folder / name))
            room = (
                "--cores",
                "2",
                "--memory",
                "1400m",
            )  # so a command can load while the tests hold a session
            started.append(_start(folder, name, "worker.Worker", *place, *room, master))
        _wait_for(folder / "master.log", "Registering worker", 2)
        yield Processes(master, folder / "master.log", tuple(started[1:]))
    finally:
        for process in started:
            kill(process)


def kill(process: subprocess.Popen[bytes]) -> None:
    """End a process with all that it started, at once."""
    with suppress(ProcessLookupError):
        os.killpg(process.pid, signal.SIGKILL)
    process.wait()


def _start(folder: Path, name: str, daemon: str, *arguments: str) -> subprocess.Popen[bytes]:
    home = find_spec("pyspark")
    assert home is not None
    assert home.origin is not None
    spark = Path(home.origin).parent
    with (folder / f"{name}.log").open("wb") as log:
        return subprocess.Popen(  # noqa: S603  (our own command)
            [str(spark / "bin" / "spark-class"), f"org.apache.spark.deploy.{daemon}", *arguments],
            env={
                **os.environ,
                "SPARK_HOME": str(spark),
                "SPARK_LOCAL_IP": "127.0.0.1",
                "SPARK_LOCAL_DIRS": str(folder / "scratch"),
                "SPARK_DAEMON_MEMORY": "256m",
                "SPARK_DAEMON_JAVA_OPTS": SHORT_LIVED,
            },
            stdout=log,
            stderr=subprocess.STDOUT,
            start_new_session=True,
        )


def _wait_for(log: Path, words: str, times: int) -> None:
    until = time.monotonic() + PATIENCE
    while log.read_text(encoding="utf-8", errors="replace").count(words) < times:
        assert time.monotonic() < until, f"{log} does not say {words!r}:\n{log.read_text(encoding='utf-8')}"
        time.sleep(0.1)


def _free_port() -> int:
    with socket.create_server(("127.0.0.1", 0)) as server:
        port: int = server.getsockname()[1]
    return port
