"""Rate, survival and Weibull life with lifelines: `python -m benchmarks.peers.lifelines_models LIVES`."""

from __future__ import annotations

import json
import sys
import time
import warnings

import pandas as pd
from lifelines import KaplanMeierFitter, WeibullFitter
from lifelines.exceptions import ConvergenceError
from scipy.special import gammaincinv

LEVEL = 0.95


def fitted(ages: pd.Series[int], failed: pd.Series[bool], entry: pd.Series[int]) -> bool:
    """Whether a Weibull life could be fitted."""
    try:
        WeibullFitter().fit(ages, failed, entry=entry)
    except ConvergenceError:
        return False
    return True


if __name__ == "__main__":
    warnings.simplefilter("ignore")  # models with few failures, of which it speaks at length
    lives = pd.read_parquet(sys.argv[1], columns=["model", "entry_age_days", "exit_age_days", "outcome"])
    began = time.perf_counter()
    models = failures = fits = 0
    for _, each in lives.groupby("model"):
        entry, ages, failed = each["entry_age_days"], each["exit_age_days"], each["outcome"] == "failed"
        count, exposure = failed.sum(), (ages - entry).sum()
        gammaincinv([count or 1, count + 1], [(1 - LEVEL) / 2, (1 + LEVEL) / 2]) / exposure
        KaplanMeierFitter().fit(ages, failed, entry=entry)
        fits += fitted(ages, failed, entry)
        failures += int(count)
        models += 1
    seconds = time.perf_counter() - began
    print(json.dumps({"seconds": seconds, "models": models, "failures": failures, "fits": fits}))  # noqa: T201  (its answer)
