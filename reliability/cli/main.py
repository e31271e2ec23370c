"""The command `driveyears`.

Each command's module is loaded only when it is called, so that help comes at once.
"""

from __future__ import annotations

import os
import sys
from importlib.metadata import version

from cyclopts import App, CycloptsError
from rich.console import Console

from reliability.errors import DriveyearsError, LoadStopped

COMMANDS = {  # name: what it does, and an example
    "demo": (
        "Make the demonstration store, compare it with its datasheets, write its report.",
        "driveyears demo --out demo",
    ),
    "mapping": (
        "Look at a file of snapshots and propose a mapping for it.",
        "driveyears mapping snapshots/2026-03.csv > mapping.toml",
    ),
    "load": (
        "Read snapshots into a store and reduce them to lives.",
        "driveyears load snapshots/ --mapping mapping.toml --removals removals.csv",
    ),
    "checks": (
        "What is odd in the histories, counted, and the price of each.",
        "driveyears checks --store fleet",
    ),
    "rates": (
        "Failures, drive-years and the rate with its interval.",
        "driveyears rates --by model,quarter --from 2025-01-01",
    ),
    "survival": (
        "How models age: survival, what became of the drives, Weibull, rate by age.",
        "driveyears survival --model 'TARN T18' --at 1y,3y,5y",
    ),
    "compare": (
        "Observed rates against stated ones: a verdict for each model.",
        "driveyears compare --datasheets datasheets.toml",
    ),
    "rank": (
        "Models side by side: like ages, shrunk rates, every two of them.",
        "driveyears rank --format json",
    ),
    "signals": (
        "How health counters, temperature and workload go with failure, and who had a warning.",
        "driveyears signals --datasheets datasheets.toml",
    ),
    "plan": (
        "What a sample says of a stated rate, and what it takes to say more.",
        "driveyears plan --drives 12 --days 365 --failures 0 --stated-mtbf 2500000",
    ),
    "forecast": (
        "Failures to come, and the spares to hold; how past forecasts did.",
        "driveyears forecast --days 90 --service 0.95 --backtest",
    ),
    "rebuild": (
        "Risk of losing data while an array rebuilds a drive.",
        (
            "driveyears rebuild --drives 10 --parity 1 --capacity-tb 30 --mb-per-s 208 "
            "--afr-percent 1.0 --error-rate 1e-15"
        ),
    ),
    "report": (
        "Write the quarterly report: one page, and the tables behind it.",
        "driveyears report --quarter 2026Q3 --datasheets datasheets.toml --out report",
    ),
}

app = App(
    name="driveyears",
    help=(
        "Does a hard drive model keep its stated failure rate? "
        "From daily health snapshots of a fleet to a verdict that stands up."
    ),
    version=lambda: version("driveyears"),
    version_flags=["--version"],
    help_flags=["--help", "-h"],
    error_formatter=lambda error: f"driveyears: {error}",
    error_console=Console(stderr=True, soft_wrap=True, highlight=False),
)
for _name, (_help, _example) in COMMANDS.items():
    app.command(
        f"reliability.cli.{_name}:{_name}", name=_name, help=_help, help_epilogue=f"Example: {_example}"
    )


def main(arguments: list[str] | None = None) -> int:
    """Run one command; 0 done, 2 the command line or an input is wrong, 1 anything else."""
    try:
        app(arguments, exit_on_error=False, print_error=True, result_action="return_value")
        sys.stdout.flush()
    except CycloptsError:
        return 2
    except DriveyearsError as error:
        print(f"driveyears: {error}", file=sys.stderr)  # noqa: T201  (this is where people read)
        return 1 if isinstance(error, LoadStopped) else 2
    except BrokenPipeError:
        # Whoever read our output has left, as `driveyears rates | head` does; there is nobody to tell.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
    except KeyboardInterrupt:
        print("driveyears: stopped; the store is as it was.", file=sys.stderr)  # noqa: T201  (the same)
        return 1
    return 0
