"""The README keeps its word: its commands, the demonstration's lines, and what the checks run."""

from __future__ import annotations

import re
import shutil
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
    asked = ("rates --by age", "checks", "signals")
    for command in ("demo", *(f"{question} --store demo/fleet" for question in asked)):
        said += fresh_python("-m", "reliability", *command.split(), folder=folder, package=installed)
    assert (folder / "demo" / "report" / "2026Q3.html").stat().st_size > 0
    return said


def test_there_are_two_commands_and_each_is_one_line() -> None:
    demo, test = SHELL
    assert demo.count("\n") == test.count("\n") == 1
    assert demo.endswith("&& .venv/bin/driveyears demo\n")
    assert test.endswith("&& .venv/bin/python -m pytest -n auto --dist loadfile\n")


@pytest.mark.parametrize("block", SHOWN, ids=[block.split()[0] for block in SHOWN])
def test_every_line_shown_is_a_line_of_the_demonstration(block: str, demo_says: str) -> None:
    said = {line.rstrip() for line in demo_says.splitlines()}
    assert [line for line in block.splitlines() if line not in said] == []


def test_the_demonstration_says_where_its_page_is(demo_says: str) -> None:
    assert "The report is demo/report/2026Q3.html: open it in a browser." in demo_says


def asked_by_the_checks(folder: Path, *there: str, python3: str = "") -> list[str]:
    """What `.ci/run` asks for in an empty folder: stand-ins for the programs that are `there` tell it.

    python3  what its stand-in does besides telling
    """
    (folder / ".ci").mkdir()
    (folder / ".ci" / "run").write_bytes((ROOT / ".ci" / "run").read_bytes())
    (folder / "README.md").write_text(README, encoding="utf-8")
    programs, own = folder / "programs", folder / ".venv" / "bin"
    for place in (*(programs / name for name in ("python3", *there)), own / "pip", own / "python"):
        place.parent.mkdir(parents=True, exist_ok=True)
        does = python3 if place.name == "python3" else ""
        place.write_text(f'#!/bin/sh\necho "{place.name} $*"\n{does}\n', encoding="utf-8")
        place.chmod(0o755)
    for name in ("bash", "dirname", "grep"):
        (programs / name).symlink_to(str(shutil.which(name)))
    done = subprocess.run(  # noqa: S603  (our own script)
        [str(programs / "bash"), str(folder / ".ci" / "run")],
        env={"PATH": str(programs)},
        check=True,
        capture_output=True,
        text=True,
    )
    return done.stdout.splitlines()


# As the README has it, and with the cluster.
TESTS = [
    "python3 -m venv .venv",
    "pip install -q -c constraints.txt -e .[test,spark]",
    "python -m pytest -n auto --dist loadfile",
]


def test_the_checks_run_the_test_command_of_the_readme(tmp_path: Path) -> None:
    assert asked_by_the_checks(tmp_path, "chromium", "java") == ["python3 -m ensurepip --version", *TESTS]


def test_the_checks_install_what_a_bare_system_lacks(tmp_path: Path) -> None:
    no_venv = '[ "$2" != ensurepip ]'
    asked = asked_by_the_checks(tmp_path, "apt-get", python3=no_venv)
    install = "apt-get install -y --no-install-recommends"
    missing = "chromium fonts-dejavu-core openjdk-17-jre-headless python3-venv"
    assert asked == ["python3 -m ensurepip --version", "apt-get update", f"{install} {missing}", *TESTS]
