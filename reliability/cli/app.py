"""The commands as the parser of the command line knows them; each command's module is loaded when it is called."""

from __future__ import annotations

from importlib.metadata import version

from cyclopts import App, CycloptsError, MissingArgumentError, UnusedCliTokensError
from rich.console import Console

from reliability.cli.commands import COMMANDS, HELP_FLAGS, PURPOSE
from reliability.cli.process import answer_once


def _in_words(error: CycloptsError) -> str:
    """Say what the parser has no sentence for."""
    if isinstance(error, UnusedCliTokensError):
        extra = " ".join(error.unused_tokens or ())
        return f"{extra!r} belongs to no option; leave it out, or see --help for what can be given."
    if isinstance(error, MissingArgumentError) and error.argument is not None:
        return f"{error.argument.name} is missing, or has no value; add it, as --help shows."
    return str(error)


app = App(
    name="driveyears",
    help=PURPOSE,
    version=lambda: version("driveyears"),
    version_flags=["--version"],
    help_flags=HELP_FLAGS,
    error_formatter=lambda error: f"driveyears: {_in_words(error)}",
    error_console=Console(stderr=True, soft_wrap=True, highlight=False),
)
for _name, (_help, _example) in COMMANDS.items():
    app.command(
        f"reliability.cli.{_name}:{_name}", name=_name, help=_help, help_epilogue=f"Example: {_example}"
    )


def run(arguments: list[str]) -> int:
    """Run one command; 0 done, 2 the command line is wrong."""
    answer_once()
    try:
        app(arguments, exit_on_error=False, print_error=True, result_action="return_value")
    except CycloptsError:
        return 2
    return 0
