"""What tests share: how properties are tried, how the documents' examples run, and what several tests start from."""

from __future__ import annotations

import zipfile
from contextlib import chdir
from importlib.util import find_spec
from typing import TYPE_CHECKING

import pytest
from dealing import ByFile
from doc_examples import printed, run_console_block, write_toml_block
from doc_fleet import write_fleet
from fresh_python import fresh_python
from hypothesis import settings
from sybil import Sybil
from sybil.parsers.markdown import CodeBlockParser, PythonCodeBlockParser

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from xdist.remote import Producer

settings.register_profile("house", deadline=None)  # a case may open a database, and a machine may be busy
settings.load_profile("house")


@pytest.fixture(scope="module")
def beside_the_small_fleet(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """A folder for each document, with the files that its examples read."""
    folder = tmp_path_factory.mktemp("reader")
    write_fleet(folder)
    with chdir(folder):
        yield


# Where PySpark is not installed, what is written in it cannot be looked through for examples.
collect_ignore_glob = [] if find_spec("pyspark") else ["reliability/loaders/cluster/*", "tests/spark_*.py"]

pytest_collect_file = Sybil(
    parsers=[
        PythonCodeBlockParser(),
        CodeBlockParser("console", run_console_block),
        CodeBlockParser("toml", write_toml_block),
    ],
    patterns=["README.md", "DEVELOPERS.md", "docs/*.md"],
    fixtures=["beside_the_small_fleet"],
).pytest()


@pytest.hookimpl(optionalhook=True)  # nobody asks where xdist is turned off
def pytest_xdist_make_scheduler(config: pytest.Config, log: Producer) -> ByFile | None:
    """Say how `--dist loadfile` deals tests out."""
    return ByFile(config, log) if config.getoption("dist") == "loadfile" else None


@pytest.fixture(scope="session")
def small_store(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The store of the small fleet; its datasheets lie beside it."""
    folder = tmp_path_factory.mktemp("small")
    write_fleet(folder)
    with chdir(folder):
        for command in (
            "mapping snapshots > mapping.toml",
            "load snapshots --mapping mapping.toml --removals removals.csv",
        ):
            if (found := printed(f"driveyears {command}")).code:
                pytest.fail(found.text)
    return folder / "fleet"


@pytest.fixture(scope="session")
def installed(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with the package as its wheel lays it down."""
    folder = tmp_path_factory.mktemp("wheel")
    fresh_python("-m", "hatchling", "build", "-t", "wheel", "-d", str(folder))
    (wheel,) = folder.glob("*.whl")
    with zipfile.ZipFile(wheel) as packed:
        packed.extractall(folder / "site")
    return folder / "site"
