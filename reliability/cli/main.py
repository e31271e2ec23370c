"""The command `driveyears`.

The overview comes without the parser of the command line, and that without what answers a command: each is loaded
when it is needed, so that help comes at once.
"""

from __future__ import annotations

import os
import shutil
import sys
import textwrap
from io import TextIOWrapper

from reliability.cli.commands import COMMANDS, HELP_FLAGS, PURPOSE
from reliability.cli.visible import visible
from reliability.errors import DriveyearsError, LoadStopped

_FLAGS = {"--help (-h)": "Display this message and exit.", "--version": "Display application version."}
_INDENT = 15  # columns, in which the longest name stands


def main(arguments: list[str] | None = None) -> int:
    """Run one command; 0 done, 2 the command line or an input is wrong, 1 anything else."""
    asked = sys.argv[1:] if arguments is None else arguments
    done = 0
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, TextIOWrapper):
            stream.reconfigure(errors="backslashreplace")  # letters that a terminal lacks, by their numbers
    try:
        if not asked or (len(asked) == 1 and asked[0] in HELP_FLAGS):
            print(overview(shutil.get_terminal_size().columns))  # noqa: T201  (this is where people read)
        else:
            from reliability.cli.app import run  # noqa: PLC0415  (the overview needs no parser)

            done = run(asked)
        sys.stdout.flush()
    except DriveyearsError as error:
        print(f"driveyears: {visible(str(error))}", file=sys.stderr)  # noqa: T201  (this is where people read)
        return 1 if isinstance(error, LoadStopped) else 2
    except BrokenPipeError:
        # Whoever read our output has left, as `driveyears rates | head` does; there is nobody to tell.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
    except KeyboardInterrupt:
        print("driveyears: stopped; the store is as it was.", file=sys.stderr)  # noqa: T201  (the same)
        return 1
    return done


def overview(columns: int) -> str:
    """Tell what there is, in so many columns."""
    told = {name: purpose for name, (purpose, _) in sorted(COMMANDS.items())} | _FLAGS
    width = max(columns, 2 * _INDENT)
    rows = [
        textwrap.fill(f"  {name:<{_INDENT - 2}}{text}", width, subsequent_indent=" " * _INDENT)
        for name, text in told.items()
    ]
    return "\n".join(["Usage: driveyears COMMAND", "", textwrap.fill(PURPOSE, width), "", "Commands:", *rows])
