"""Run the console examples of the documents, and compare what they print with what is shown.

A block marked `console` holds commands after `$ `, each followed by what it prints, standard error included:

- `driveyears ...`, with `> FILE` behind it if the document goes on with that file;
- `cat FILE` and `head -N FILE`.

A line `...` stands for any lines, `...` within a line for any text. A command without output shown must succeed,
and what it prints is not compared. Long decimals of JSON and CSV are shown and compared to nine digits, since the
last ones depend on the versions of other libraries.

A block marked `toml` whose first line is `# NAME.toml` is written to that file.

`python tests/doc_examples.py docs/cli.md` writes into the document what its commands print now, wherever an output
is shown; one shortened with `...` is left for people to mend.
"""

from __future__ import annotations

import doctest
import io
import os
import re
import shlex
import sys
import tempfile
from contextlib import chdir, redirect_stderr, redirect_stdout
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple
from unittest.mock import patch

from doc_fleet import write_fleet

from reliability.cli.main import main

if TYPE_CHECKING:
    from sybil import Example

COLUMNS = "100"  # the width at which help is shown
BLOCK = re.compile(r"^```(?P<language>console|toml)\n(?P<content>.*?)^```$", re.MULTILINE | re.DOTALL)
LONG_DECIMAL = re.compile(r"(?:(?<=: )|(?<=,)|(?<=  ))\d+\.\d{9,}")
SHORTENED = re.compile(r"(?<![A-Z])\.\.\.")  # an option that takes several words is shown as STR...
FILE_NAME = re.compile(r"# ([a-z_]+\.toml)\n")


class Command(NamedTuple):
    """One command of a block, and what is shown below it."""

    line: str
    shown: str


class Printed(NamedTuple):
    """What a command wrote, and the code it ended with."""

    text: str
    code: int


def commands(block: str) -> list[Command]:
    """Split a console block at its prompts."""
    found = re.split(r"^\$ (.*)\n?", block, flags=re.MULTILINE)
    assert not found[0].strip(), f"a console block begins with a command after '$ ', not with {found[0]!r}"
    return [Command(line, shown) for line, shown in zip(found[1::2], found[2::2], strict=True)]


def printed(line: str) -> Printed:
    """Run one command line where we stand."""
    command, _, target = line.partition(" > ")
    program, *arguments = shlex.split(command)
    if program == "cat":
        return Printed(Path(arguments[0]).read_text(encoding="utf-8"), 0)
    if program == "head":
        lines = Path(arguments[1]).read_text(encoding="utf-8").splitlines(keepends=True)
        return Printed("".join(lines[: int(arguments[0].lstrip("-"))]), 0)
    assert program == "driveyears", f"an example runs driveyears, cat or head, not {program!r}"
    shown = io.StringIO()
    written = io.StringIO() if target else shown
    with patch.dict(os.environ, {"COLUMNS": COLUMNS}), redirect_stdout(written), redirect_stderr(shown):
        code = main(arguments)
    if target:
        Path(target).write_text(written.getvalue(), encoding="utf-8")
    return Printed(_trimmed(shown.getvalue()), code)


def differs(command: Command, found: Printed) -> str | None:
    """What is wrong with a command that printed this; None if nothing is."""
    want = _trimmed(command.shown)
    if not want:
        return f"{command.line} ended with {found.code}:\n{found.text}" if found.code else None
    checker, got = doctest.OutputChecker(), _trimmed(found.text)
    if checker.check_output(want, got, doctest.ELLIPSIS):
        return None
    example = doctest.Example(command.line, want)
    return f"$ {command.line}\n{checker.output_difference(example, got, doctest.REPORT_NDIFF)}"


def run_console_block(example: Example) -> str | None:
    """Evaluate a console block for Sybil: None if all of it is as shown, else the first difference."""
    for command in commands(example.parsed):
        if (fault := differs(command, printed(command.line))) is not None:
            return fault
    return None


def write_toml_block(example: Example) -> None:
    """Evaluate a block of TOML for Sybil: one that opens with a file's name is written to it."""
    write_named(example.parsed)


def write_named(block: str) -> None:
    """Write a block to the file that its first line names, if it names one."""
    if (named := FILE_NAME.match(block)) is not None:
        Path(named[1]).write_text(block, encoding="utf-8")


def rewritten(document: str) -> str:
    """The document with what its commands print now, run beside the small fleet."""

    def block_now(match: re.Match[str]) -> str:
        if match["language"] == "toml":
            write_named(match["content"])
            return match[0]
        lines = []
        for command in commands(match["content"]):
            found = printed(command.line)
            keep = not command.shown or SHORTENED.search(command.shown) is not None
            lines += [f"$ {command.line}\n", command.shown if keep else _trimmed(found.text)]
        return f"```console\n{''.join(lines)}```"

    with tempfile.TemporaryDirectory() as folder, chdir(folder):
        write_fleet(Path())
        return BLOCK.sub(block_now, document)


def _trimmed(text: str) -> str:
    """Without the blanks that pad tables, and with shortened decimals."""
    lines = "".join(f"{line.rstrip()}\n" for line in text.splitlines()).lstrip("\n")
    return LONG_DECIMAL.sub(lambda decimal: f"{float(decimal[0]):.9g}", lines)


if __name__ == "__main__":
    for name in sys.argv[1:]:
        file = Path(name)
        file.write_text(rewritten(file.read_text(encoding="utf-8")), encoding="utf-8")
