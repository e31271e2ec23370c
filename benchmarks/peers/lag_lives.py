"""Snapshots to one row a drive by a window over its days: `python -m benchmarks.peers.lag_lives SNAPSHOTS OUT`."""

from __future__ import annotations

import json
import sys
import time

import duckdb

LIVES = """
copy (
  select serial, model, min(date) as first_day, max(date) as last_day, count(*) as days_seen,
    max(gap) as longest_gap, bool_or(failed) as failed, arg_min(power_on_hours, date) as first_hours
  from (
    select *, date - lag(date) over (partition by serial order by date) as gap
    from read_parquet('{snapshots}')
  )
  group by serial, model
) to '{out}' (format parquet)
"""

if __name__ == "__main__":
    snapshots, out = sys.argv[1:]
    with duckdb.connect() as engine:
        began = time.perf_counter()
        engine.execute(LIVES.format(snapshots=snapshots, out=out))
        seconds = time.perf_counter() - began
        rows = engine.execute(
            "select count(*), sum(last_day - first_day + 1) from read_parquet($out)", {"out": out}
        )
        lives, drive_days = rows.fetchall()[0]
    print(json.dumps({"seconds": seconds, "lives": lives, "drive_days": int(drive_days)}))  # noqa: T201  (its answer)
