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
