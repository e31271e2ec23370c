"""What a process that answers once and ends asks of its libraries."""

from __future__ import annotations

import atexit
import gc
import os

from reliability.loaders.memory import give_back_at_once


def answer_once() -> None:
    """Ask for little memory, no idle threads and a quick end; to be said before numbers are loaded."""
    give_back_at_once()
    # Read by numpy: the threads of its algebra spin while they wait, on a core that others need. No matrix is large.
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    # What is alive at the end goes with the process: to search it for cycles first takes as long as many a question.
    atexit.register(gc.freeze)
