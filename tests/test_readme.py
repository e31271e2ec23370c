"""The README keeps its word: its commands, the demonstration's lines, and what the checks run."""

from __future__ import annotations

import os
import re
import subprocess
from typing import TYPE_CHECKING

import pytest
from fresh_python import ROOT, fresh_python

if TYPE_CHECKING:
    from pathlib import Path

README = (ROOT / "README.md").read_text(encoding="utf-8")
SHELL = re.findall(r"^```sh\n(.*?)^```$", README, re.MULTILINE | re.DOTALL)
SHOWN = re.findall(r"^```text\n(.*?)^```$", README, re.MULTILINE | re.DOTALL)


@pytest.fixture(scope="module")
def demo_says(installed: Path, tmp_path_factory: pytest.TempPathFactory) -> str:
    """What the demonstration prints, and what its store then answers; from the package as installed."""
    folder = tmp_path_factory.mktemp("demo")
    said = ""
    for command in ("demo", "rates --by age --store demo/fleet", "checks --store demo/fleet"):
        said += fresh_python("-m", "reliability", *command.split(), folder=folder, package=installed)
    assert (folder / "demo" / "report" / "2026Q3.html").stat().st_size > 0
    return said


def test_there_are_two_commands_and_each_is_one_line() -> None:
    demo, test = SHELL
    assert demo.count("\n") == test.count("\n") == 1
    assert demo.endswith("&& .venv/bin/driveyears demo\n")
    assert test.endswith("&& .venv/bin/python -m pytest\n")


@pytest.mark.parametrize("block", SHOWN, ids=[block.split()[0] for block in SHOWN])
def test_every_line_shown_is_a_line_of_the_demonstration(block: str, demo_says: str) -> None:
    said = {line.rstrip() for line in demo_says.splitlines()}
    assert [line for line in block.splitlines() if line not in said] == []


def test_the_demonstration_says_where_its_page_is(demo_says: str) -> None:
    assert "The report is demo/report/2026Q3.html: open it in a browser." in demo_says


def test_the_checks_run_the_test_command_of_the_readme(tmp_path: Path) -> None:
    """`.ci/run` in an empty folder, with stand-ins for the programs it calls: they tell what they were asked for."""
    (tmp_path / ".ci").mkdir()
    (tmp_path / ".ci" / "run").write_bytes((ROOT / ".ci" / "run").read_bytes())
    (tmp_path / "README.md").write_text(README, encoding="utf-8")
    (tmp_path / ".venv" / "bin").mkdir(parents=True)
    programs = tmp_path / "programs"
    programs.mkdir()
    for place in (
        programs / "python3",
        programs / "chromium",
        *(tmp_path / ".venv/bin" / n for n in ("pip", "python")),
    ):
        place.write_text(f'#!/bin/sh\necho "{place.name} $*"\n', encoding="utf-8")
        place.chmod(0o755)
    done = subprocess.run(  # noqa: S603  (our own script)
        ["bash", str(tmp_path / ".ci" / "run")],  # noqa: S607  (the shell of the system)
        env={**os.environ, "PATH": f"{programs}:{os.environ['PATH']}"},
        check=True,
        capture_output=True,
        text=True,
    )
    assert done.stdout.splitlines() == [
        "python3 -m ensurepip --version",
        "python3 -m venv .venv",
        "pip install -q -c constraints.txt -e .[test]",
        "python -m pytest",
    ]
