"""The least that a program with an embedded engine does."""

from __future__ import annotations

import duckdb

if __name__ == "__main__":
    duckdb.execute("select 1").fetchall()
