"""What several tests start from: the package as it is installed, and the small fleet as a store."""

from __future__ import annotations

import zipfile
from contextlib import chdir
from typing import TYPE_CHECKING

import pytest
from doc_examples import printed
from doc_fleet import write_fleet
from fresh_python import fresh_python

if TYPE_CHECKING:
    from pathlib import Path


@pytest.fixture(scope="session")
def installed(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with the package as its wheel lays it down."""
    folder = tmp_path_factory.mktemp("wheel")
    fresh_python("-m", "hatchling", "build", "-t", "wheel", "-d", str(folder))
    (wheel,) = folder.glob("*.whl")
    with zipfile.ZipFile(wheel) as packed:
        packed.extractall(folder / "site")
    return folder / "site"


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
            found = printed(f"driveyears {command}")
            assert found.code == 0, found.text
    return folder / "fleet"
