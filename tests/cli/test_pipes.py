"""How commands behave as processes: in pipes, on terminals, and when nobody reads any more."""

from __future__ import annotations

import os
import pty
import subprocess
import sys
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from tiny_stores import GOOD, csv_of, put, rows

from reliability.loaders.load import load

if TYPE_CHECKING:
    from collections.abc import Mapping

ROOT = Path(__file__).parents[2]
PLAIN = {name: value for name, value in os.environ.items() if name not in {"FORCE_COLOR", "NO_COLOR", "TERM"}}


@pytest.fixture(scope="module")
def store(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A store of many models, so that tables are longer than a screen."""
    folder = tmp_path_factory.mktemp("pipes")
    history = [rows(f"S{n}", range(3), model=f"TARN T{n}") for n in range(60)]
    load([str(put(folder / "a.csv", csv_of(*history)))], folder / "fleet")
    return folder / "fleet"


def command(*arguments: object) -> list[str]:
    return [sys.executable, "-m", "reliability", *map(str, arguments)]


def environment(**more: str) -> Mapping[str, str]:
    return {**PLAIN, "PYTHONPATH": str(ROOT), **more}


def run(*arguments: object, **more: str) -> subprocess.CompletedProcess[bytes]:
    return subprocess.run(command(*arguments), capture_output=True, check=False, env=environment(**more))  # noqa: S603  (our own command)


@pytest.mark.parametrize(
    "arguments",
    [("rates",), ("rates", "--format", "csv"), ("rates", "--help")],
    ids=" ".join,
)
def test_it_ends_quietly_when_nobody_reads_any_more(arguments: tuple[str, ...], store: Path) -> None:
    # as `driveyears rates | head -1` does; here the reader has left before the first line
    place = () if "--help" in arguments else ("--store", store)
    with subprocess.Popen(  # noqa: S603  (our own command)
        command(*arguments, *place), stdout=subprocess.PIPE, stderr=subprocess.PIPE, env=environment()
    ) as found:
        assert found.stdout is not None
        assert found.stderr is not None
        found.stdout.close()
        assert found.stderr.read() == b""
    assert found.returncode in {0, 1}


def test_exit_codes_and_streams_of_the_process(store: Path, tmp_path: Path) -> None:
    right = run("rates", "--store", store)
    assert (right.returncode, right.stderr) == (0, b"")
    wrong = run("rates", "--store", tmp_path / "nowhere")
    assert (wrong.returncode, wrong.stdout) == (2, b"")
    assert wrong.stderr.startswith(b"driveyears: There is no store in ")
    assert b"Traceback" not in wrong.stderr


def test_progress_is_silent_and_no_line_is_coloured_in_a_pipe(tmp_path: Path) -> None:
    found = run("load", put(tmp_path / "a.csv", GOOD), "--store", tmp_path / "fleet", TERM="xterm-256color")
    assert (found.returncode, found.stderr) == (0, b"")
    assert b"\x1b" not in found.stdout
    assert found.stdout.startswith(b"Loaded into ")


def on_a_terminal(*arguments: object) -> tuple[bytes, bytes]:
    """Run a command whose standard error is a terminal; what came to standard output, and to the terminal."""
    ours, theirs = pty.openpty()
    with subprocess.Popen(  # noqa: S603  (our own command)
        command(*arguments), stdout=subprocess.PIPE, stderr=theirs, env=environment(TERM="xterm-256color")
    ) as found:
        os.close(theirs)
        shown = b""
        while block := _read(ours):
            shown += block
        assert found.stdout is not None
        out = found.stdout.read()
    os.close(ours)
    assert found.returncode == 0
    return out, shown


def _read(terminal: int) -> bytes:
    try:
        return os.read(terminal, 65536)
    except OSError:  # how a terminal says on Linux that nobody writes any more
        return b""


def test_progress_shows_on_a_terminal_and_goes_to_standard_error_alone(tmp_path: Path) -> None:
    file = put(tmp_path / "a.csv", GOOD)
    out, shown = on_a_terminal("load", file, "--store", tmp_path / "fleet", "--format", "json")
    assert b"reading 1 files" in shown
    assert out.startswith(b"{")
    assert b"\x1b" not in out


@pytest.mark.parametrize("shown_as", ["table", "json", "csv"])
def test_every_row_comes_through_a_pipe_however_narrow_the_terminal_is(shown_as: str, store: Path) -> None:
    found = run("rates", "--store", store, "--format", shown_as, COLUMNS="20").stdout.decode()
    assert [n for n in range(60) if f"TARN T{n}" not in found] == []
    assert "…" not in found
    if shown_as == "table":
        assert max(map(len, found.splitlines())) > 60


def test_output_is_utf_8_whatever_the_locale(tmp_path: Path) -> None:
    file = put(tmp_path / "a.csv", csv_of(rows("A", range(2), model="Größe 18 Ω")))
    load([str(file)], tmp_path / "fleet")
    found = run("rates", "--store", tmp_path / "fleet", LC_ALL="C")
    assert found.returncode == 0
    assert "Größe 18 Ω" in found.stdout.decode()
