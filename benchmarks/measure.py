"""Programs run in processes of their own, ours and the peer's in turns: wall time and peak memory of each."""

from __future__ import annotations

import json
import subprocess
import sys
import tempfile
from dataclasses import dataclass, field
from pathlib import Path
from statistics import median
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import os
    from collections.abc import Callable, Sequence

PYTHON = sys.executable
STOPWATCH = Path(__file__).parent / "stopwatch.py"
DRIVEYEARS = (PYTHON, "-m", "reliability")


@dataclass(frozen=True, slots=True)
class Run:
    """One run of a program.

    seconds    wall time from start to end
    megabytes  the most memory it held
    told       what it printed as JSON on its last line; `seconds` in it is the time of its step alone
    """

    seconds: float
    megabytes: float
    told: dict[str, float] = field(default_factory=dict)

    @property
    def step_seconds(self) -> float:
        """Time of the measured step, without the start of the program, if it told."""
        return self.told.get("seconds", self.seconds)


def run(*command: str | os.PathLike[str]) -> Run:
    """Run a program to its end; one that fails ends the measurement with what it said."""
    with tempfile.TemporaryDirectory() as folder:
        note = Path(folder) / "note.json"
        started = (PYTHON, "-I", "-S", STOPWATCH, note, *command)
        done = subprocess.run(started, capture_output=True, text=True, check=False)  # noqa: S603  (the commands are ours)
        if done.returncode:
            raise RuntimeError(f"{' '.join(map(str, command))} failed: {done.stderr.strip()[-2000:]}")
        noted = json.loads(note.read_text(encoding="utf-8"))
    return Run(noted["seconds"], noted["megabytes"], _told(done.stdout))


def module(name: str, *arguments: str | os.PathLike[str]) -> tuple[str | os.PathLike[str], ...]:
    """The command that runs a module of `benchmarks`."""
    return (PYTHON, "-m", f"benchmarks.{name}", *arguments)


def in_turns(times: int, *sides: Callable[[], Run]) -> list[Run]:
    """Run all sides in turns, so many times, and give the middle of each: a busy minute hits all alike.

    The middle run in time stands for the time, the middle in memory for the memory.
    """
    runs: list[list[Run]] = [[] for _ in sides]
    for _ in range(times):
        for done, side in zip(runs, sides, strict=True):
            done.append(side())
    return [middle(done) for done in runs]


def middle(runs: Sequence[Run]) -> Run:
    """The medians of several runs of one program."""
    told = runs[0].told | {"seconds": median(each.step_seconds for each in runs)}
    return Run(median(each.seconds for each in runs), median(each.megabytes for each in runs), told)


def _told(text: str) -> dict[str, float]:
    last = text.strip().rpartition("\n")[2]
    if not (last.startswith("{") and last.endswith("}")):
        return {}
    told: dict[str, float] = json.loads(last)
    return told
