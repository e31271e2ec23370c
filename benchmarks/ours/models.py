"""Rate, survival and Weibull life of every model in a store: `python -m benchmarks.ours.models STORE`."""

from __future__ import annotations

import json
import sys
import time

import reliability as rel

if __name__ == "__main__":
    store = rel.open_store(sys.argv[1])
    rel.weibull, rel.kaplan_meier  # noqa: B018  (loads what both sides have loaded when their step begins)
    began = time.perf_counter()
    tables = store.risk_tables()
    rates = [rel.Rate(table.failures, table.drive_days).interval() for table in tables.values()]
    curves = [rel.kaplan_meier(table) for table in tables.values()]
    fits = [rel.weibull(table) for table in tables.values()]
    told = {
        "seconds": time.perf_counter() - began,
        "models": len(rates),
        "failures": int(sum(curve.failures.sum() for curve in curves)),
        "fits": sum(isinstance(fit, rel.Weibull) for fit in fits),
    }
    print(json.dumps(told))  # noqa: T201  (its answer)
