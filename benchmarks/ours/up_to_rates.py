"""Files into a store and up to the rates: `python -m benchmarks.ours.up_to_rates STORE FILE...`."""

from __future__ import annotations

import json
import sys
import time
from pathlib import Path

import reliability as rel

if __name__ == "__main__":
    store, *files = sys.argv[1:]
    began = time.perf_counter()
    rel.load(files, Path(store))
    intervals = [cell.rate.interval() for cell in rel.open_store(store).rates().cells]
    print(json.dumps({"seconds": time.perf_counter() - began, "models": len(intervals)}))  # noqa: T201  (its answer)
