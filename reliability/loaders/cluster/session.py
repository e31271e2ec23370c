"""A session of an Apache Spark cluster, or one sentence on what is missing for it."""

from __future__ import annotations

import os
import re
import shutil
import socket
from contextlib import contextmanager
from importlib.util import find_spec
from pathlib import Path
from typing import TYPE_CHECKING

from reliability.errors import ClusterError

if TYPE_CHECKING:
    from collections.abc import Iterator

    from pyspark.sql import SparkSession

KINDS = re.compile(r"(spark|k8s)://|yarn$|local(-cluster)?(\[|$)")  # of addresses that Spark knows
PATIENCE = 5.0  # seconds for a master to answer
QUIET = {"spark.ui.showConsoleProgress": "false", "spark.log.level": "ERROR"}  # messages are ours


@contextmanager
def session_at(master: str) -> Iterator[SparkSession]:
    """A session of the cluster of this master, ended afterwards; all else is as Spark's own configuration says.

    Raises ClusterError if PySpark or Java is missing, or no cluster answers there.
    """
    if (missing := what_is_missing()) is not None:
        raise ClusterError(missing)
    _call_on(master)
    from pyspark.errors import PySparkException  # noqa: PLC0415  (found to be there just now)
    from pyspark.sql import SparkSession  # noqa: PLC0415  (the same)

    try:
        session = SparkSession.builder.master(master).appName("driveyears").config(map=QUIET).getOrCreate()
    except (PySparkException, OSError, RuntimeError) as error:
        raise ClusterError(_refused(master, str(error))) from None
    except Exception as error:
        # What Java throws while it starts comes through as an error of the bridge, which is known by name only.
        if type(error).__module__.partition(".")[0] != "py4j":
            raise
        raise ClusterError(_refused(master, str(error))) from None
    try:
        yield session
    finally:
        session.stop()


def what_is_missing() -> str | None:
    """What a cluster needs on this machine and does not find, with the way to it; None if all is there."""
    if find_spec("pyspark") is None:
        return "A cluster needs PySpark 4, which is not installed; install driveyears[spark]."
    home = os.environ.get("JAVA_HOME")
    if home is not None and not (Path(home) / "bin" / "java").exists():
        return f"A cluster needs Java, and JAVA_HOME names {home}, which has no bin/java; set it right, or unset it."
    if home is None and shutil.which("java") is None:
        return (
            "A cluster needs Java 17 or later, and there is no java here; install it "
            "(on Debian openjdk-17-jre-headless) or set JAVA_HOME."
        )
    return None


def _call_on(master: str) -> None:
    """Knock at the masters of a standalone cluster, since Spark itself gives up on them only after a minute."""
    if KINDS.match(master) is None:
        raise ClusterError(_no_address(master))
    scheme, _, places = master.partition("://")
    if scheme != "spark":
        return
    reasons = []
    for place in places.split(","):
        host, _, port = place.rpartition(":")
        if not (host and port.isdecimal()):
            raise ClusterError(_no_address(master))
        try:
            socket.create_connection((host.strip("[]"), int(port)), timeout=PATIENCE).close()
        except (OSError, OverflowError) as error:
            reasons.append(f"{place}: {error}")
        else:
            return
    raise ClusterError(_refused(master, "; ".join(reasons)))


def _no_address(master: str) -> str:
    return f"--master {master} is no address of a cluster; write it as spark://HOST:7077."


def _refused(master: str, why: str) -> str:
    told = next(
        (line.strip() for line in why.splitlines() if line.strip()), "no reason was told"
    ).removesuffix(".")
    return f"No Spark cluster can be used at {master} ({told}); check the address, and that its master is running."
