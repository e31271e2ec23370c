"""CSV to Parquet with DuckDB, a COPY a month: `python -m benchmarks.peers.duckdb_copy FOLDER OUT`."""

from __future__ import annotations

import sys
from pathlib import Path

import duckdb

from benchmarks.peers.schema import COLUMNS

COPY = "copy (select * from read_csv($file, header = true, columns = {columns})) to '{out}' (format parquet)"

if __name__ == "__main__":
    folder, out = map(Path, sys.argv[1:])
    out.mkdir(parents=True)
    columns = "{" + ", ".join(f"'{name}': '{kind}'" for name, kind in COLUMNS.items()) + "}"
    with duckdb.connect() as engine:
        for file in sorted(folder.glob("*.csv")):
            text = COPY.format(columns=columns, out=out / f"{file.stem}.parquet")
            engine.execute(text, {"file": str(file)})
