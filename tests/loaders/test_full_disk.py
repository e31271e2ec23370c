"""A disk that is full while a load writes: one sentence, code 1, and the store as it was."""

from __future__ import annotations

import subprocess
import sys
from hashlib import sha256
from typing import TYPE_CHECKING

import pytest

from reliability.cli.main import main

if TYPE_CHECKING:
    from pathlib import Path

# A limit on the size of a file stands for the full disk: the system refuses the write in the same way.
CROWDED = """
import resource, sys
from reliability.cli.main import main
resource.setrlimit(resource.RLIMIT_FSIZE, (int(sys.argv[1]),) * 2)
sys.exit(main(sys.argv[2:]))
"""

# Only where stays are written there is no room.
IN_SMALL_STEPS = """
import resource, sys
from pathlib import Path
from reliability.loaders.load import load
from reliability.loaders.memory import Memory
from reliability.loaders.pile import Pile
add, usual = Pile.add, resource.getrlimit(resource.RLIMIT_FSIZE)
def crowded(self, stays):
    resource.setrlimit(resource.RLIMIT_FSIZE, (4000, usual[1]))
    try:
        add(self, stays)
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, usual)
Pile.add = crowded
load([sys.argv[1]], Path(sys.argv[2]), memory=Memory(500, 1 << 13, None))
"""


def month(folder: Path, number: int, drives: int) -> Path:
    path = folder / f"2025-{number:02d}.csv"
    rows = "".join(f"2025-{number:02d}-01,S{n},M,{n * 24}\n" for n in range(drives))
    path.write_text("date,serial,model,power_on_hours\n" + rows, encoding="utf-8")
    return path


def content(folder: Path) -> dict[str, str]:
    files = (path for path in folder.rglob("*") if path.is_file() and path.name != ".lock")
    return {str(path): sha256(path.read_bytes()).hexdigest() for path in files}


@pytest.mark.parametrize("limit", [500, 3000, 9000])
def test_a_load_that_meets_a_full_disk_leaves_the_store_as_it_was(tmp_path: Path, limit: int) -> None:
    store = tmp_path / "fleet"
    assert main(["load", str(month(tmp_path, 1, 5)), "--store", str(store)]) == 0
    before = content(store)
    load = ["load", str(month(tmp_path, 2, 4000)), "--store", str(store)]
    found = subprocess.run(  # noqa: S603  (our own program)
        [sys.executable, "-c", CROWDED, str(limit), *load], capture_output=True, text=True, check=False
    )
    assert found.returncode == 1
    assert "is as it was" in found.stderr
    assert "Make room on the disk" in found.stderr
    assert found.stderr.count("\n") == 1
    assert content(store) == before
    assert main(load) == 0


def test_a_disk_that_is_full_while_stays_are_written_is_not_the_files_fault(tmp_path: Path) -> None:
    """A file in several steps, of which the stays find no room: it is not set aside as if it could not be read."""
    store = tmp_path / "fleet"
    assert main(["load", str(month(tmp_path, 1, 5)), "--store", str(store)]) == 0
    before = content(store)
    found = subprocess.run(  # noqa: S603  (our own program)
        [sys.executable, "-c", IN_SMALL_STEPS, str(month(tmp_path, 2, 4000)), str(store)],
        capture_output=True,
        text=True,
        check=False,
    )
    assert "LoadStopped: The load stopped, and the store" in found.stderr
    assert content(store) == before
