"""Failures to come of every model by 1,000 bootstrap draws: `python -m benchmarks.ours.bootstrap STORE DRAWS`."""

from __future__ import annotations

import json
import sys
import time

import numpy as np

import reliability as rel
from reliability.forecast.binomials import mixed_binomials
from reliability.forecast.weibull_draws import weibull_draws

DAYS = 90

if __name__ == "__main__":
    store, draws = rel.open_store(sys.argv[1]), int(sys.argv[2])
    rng = np.random.default_rng(1)
    began = time.perf_counter()
    standing = store.standing()
    spares, models = 0, 0
    for model, table in store.risk_tables().items():
        if (
            table.failed > 0
        ).sum() > 1 and model in standing:  # a forecast would ask whether one rate is enough
            drives = standing[model].drives
            chances = -np.expm1(-weibull_draws(table, rng, draws).due(drives.age, DAYS))
            spares += mixed_binomials(chances, drives.drives).enough(0.95)
            models += 1
    told = {"seconds": time.perf_counter() - began, "models": models, "spares": spares}
    print(json.dumps(told))  # noqa: T201  (its answer)
