"""CSV to Parquet with Polars, a call a month: `python -m benchmarks.peers.polars_load FOLDER OUT`."""

from __future__ import annotations

import sys
from itertools import groupby
from pathlib import Path

import polars as pl

from benchmarks.peers.schema import COLUMNS

TYPES = {"DATE": pl.Date, "VARCHAR": pl.String, "INTEGER": pl.Int32, "DOUBLE": pl.Float64}

if __name__ == "__main__":
    folder, out = map(Path, sys.argv[1:])
    out.mkdir(parents=True)
    schema = {name: TYPES[kind] for name, kind in COLUMNS.items()}
    for month, files in groupby(sorted(folder.glob("*.csv")), key=lambda file: file.stem[:7]):
        pl.scan_csv(list(files), schema=schema).sink_parquet(out / f"{month}.parquet")
