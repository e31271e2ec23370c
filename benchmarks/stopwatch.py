"""Runs one program and notes its time and memory: `python -I -S stopwatch.py NOTE PROGRAM ARGUMENT...`.

Linux counts the memory of the process that starts a program as the program's own until it takes over, so this one
between them imports nothing large.
"""

import json
import os
import sys
import time

if __name__ == "__main__":
    note, program, *arguments = sys.argv[1:]
    began = time.perf_counter()
    _, status, usage = os.wait4(os.posix_spawnp(program, [program, *arguments], os.environ), 0)
    seconds = time.perf_counter() - began
    with open(note, "w", encoding="utf-8") as file:  # noqa: PTH123  (pathlib is large)
        json.dump({"seconds": seconds, "megabytes": usage.ru_maxrss / 1000}, file)
    sys.exit(os.waitstatus_to_exitcode(status))
