"""Refits with random weights by lifelines: `python -m benchmarks.peers.lifelines_refits LIVES DRAWS`.

Five models are refitted once each; the time of all models and draws is reckoned from that. Nothing is counted for
the failures to come that would follow.
"""

from __future__ import annotations

import json
import sys
import time
import warnings

import numpy as np
import pandas as pd
from lifelines import WeibullFitter

REFITTED = 5

if __name__ == "__main__":
    warnings.simplefilter("ignore")  # weights that are not whole, of which it speaks at length
    lives = pd.read_parquet(sys.argv[1], columns=["model", "entry_age_days", "exit_age_days", "outcome"])
    failed = lives[lives["outcome"] == "failed"].groupby("model")["exit_age_days"].nunique()
    fitted = failed.index[failed > 1]
    rng, seconds = np.random.default_rng(1), []
    for model in fitted[:REFITTED]:
        each = lives[lives["model"] == model]
        weights = rng.exponential(size=len(each))
        began = time.perf_counter()
        WeibullFitter().fit(
            each["exit_age_days"], each["outcome"] == "failed", entry=each["entry_age_days"], weights=weights
        )
        seconds.append(time.perf_counter() - began)
    told = {"seconds": np.mean(seconds) * len(fitted) * int(sys.argv[2]), "models": len(fitted)}
    print(json.dumps(told))  # noqa: T201  (its answer)
