"""How a load goes on, on a terminal; silent in a pipe."""

from __future__ import annotations

import time
from collections.abc import Iterator
from contextlib import contextmanager

from rich.console import Console
from rich.progress import BarColumn, Progress, TaskID, TextColumn, TimeRemainingColumn

from reliability.loaders.progress import Progress as LoadProgress
from reliability.loaders.progress import Silent


class _Bar:
    """A bar over the bytes of the files, with rows and rows a second."""

    def __init__(self, bar: Progress) -> None:
        self.bar = bar
        self.task: TaskID | None = None
        self.rows = 0
        self.began = time.monotonic()

    def begin(self, files: int, size: int) -> None:
        self.task = self.bar.add_task(f"reading {files} files", total=size, rows="")

    def file_done(self, size: int, rows: int) -> None:
        self.rows += rows
        speed = self.rows / max(time.monotonic() - self.began, 1e-9)
        if self.task is not None:
            self.bar.update(self.task, advance=size, rows=f"{self.rows:,} rows, {speed:,.0f} rows/s")

    def step(self, words: str) -> None:
        if self.task is not None:
            self.bar.update(self.task, description=words)


@contextmanager
def shown_progress() -> Iterator[LoadProgress]:
    """A progress bar on standard error if that is a terminal; else nothing."""
    console = Console(stderr=True)
    if not console.is_terminal:
        yield Silent()
        return
    columns = (
        TextColumn("{task.description}"),
        BarColumn(),
        TextColumn("{task.fields[rows]}"),
        TimeRemainingColumn(),
    )
    with Progress(*columns, console=console, transient=True) as bar:
        yield _Bar(bar)
