"""Run Python anew, as a user does, with the checkout or another copy of the package."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).parents[1]


def fresh_python(*arguments: str, folder: Path = ROOT, package: Path = ROOT) -> str:
    """What it prints.

    arguments  of `python`
    folder     to stand in
    package    the folder in which the package lies
    """
    done = subprocess.run(  # noqa: S603  (our own commands)
        [sys.executable, *arguments],
        cwd=folder,
        env={**os.environ, "PYTHONPATH": str(package), "PYTHONDONTWRITEBYTECODE": "1"},
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stdout + done.stderr
    return done.stdout
