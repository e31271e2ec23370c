"""Lives of a store as CSV for R: `python -m benchmarks.peers.lives_to_csv LIVES OUT`."""

from __future__ import annotations

import sys

import duckdb

LIVES = """
copy (
  select model, entry_age_days as entry, exit_age_days as exit, (outcome = 'failed')::int as failed
  from read_parquet('{lives}')
) to '{out}' (header true)
"""

if __name__ == "__main__":
    lives, out = sys.argv[1:]
    duckdb.execute(LIVES.format(lives=lives, out=out))
