"""Where a query runs. Queries are files; this is the embedded engine that runs them."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import Any

import duckdb

QUERIES = Path(__file__).parent / "queries"
STATE_TYPES = {
    "presence": "site string, serial string, model_key string, first_day date, last_day date",
    "drives": (
        "serial string, model_key string, first_day date, last_seen date, first_after date, days_seen bigint, days_counted bigint, "
        "failed_day date, first_hours double, first_hours_day date, last_hours double, last_hours_day date, unclocked_days bigint"
    ),
    "stints": (
        "serial string, model_key string, spell bigint, stint bigint, site string, first_day date, last_day date, days_seen bigint, "
        "absences bigint, longest_gap_days int, rack string, rack_day date, batch string, batch_day date, is_open boolean"
    ),
    "absences": "serial string, model_key string, first_day date, last_day date, collected_days int, cuts boolean",
    "hour_steps": (
        "serial string, model_key string, hours_from double, day_from date, hours_to double, day_to date, code string"
    ),
    "double_days": "serial string, model_key string, day date, code string, detail string",
    "removals": "serial string, date date, outcome string, model string, reason string, log string",
    "repeats": "code string, serial string, model_read string, first_day date, rows bigint, detail string",
    "days_collected": "site string, month date, days int",
    "rejects": "file string, line bigint, column_name string, value string, reason string",
    "near_spellings": "model_key string, other string",
}  # the tables that may have no row yet, in types that both engines know


class Engine:
    """The embedded engine: named queries over named tables, nothing kept when it is closed."""

    def __init__(self, spill: Path | None = None) -> None:
        self.connection = duckdb.connect()
        self.connection.execute("set autoinstall_known_extensions = false")
        self.connection.execute("set enable_progress_bar = false")
        if spill is not None:
            self.connection.execute("set temp_directory = $folder", {"folder": str(spill)})

    def close(self) -> None:
        """End the engine and what it holds in memory."""
        self.connection.close()

    def text(self, query: str) -> str:
        """The SQL of a query, by its name."""
        return (QUERIES / f"{query}.sql").read_text(encoding="utf-8")

    def make(self, table: str, query: str | None = None, **parameters: object) -> None:
        """Run a query and keep its rows under a name, in place of what had that name before."""
        self._forget(table)
        self.connection.execute(f"create temp table {table} as {self.text(query or table)}", parameters or None)

    def ask(self, query: str, **parameters: object) -> list[tuple[Any, ...]]:
        """Run a query by its name and fetch its rows."""
        return self.connection.execute(self.text(query), parameters or None).fetchall()

    def view(self, table: str, files: Iterable[Path]) -> None:
        """Name the rows of Parquet files; without a file, an empty table of the state's types."""
        names = [str(file) for file in files]
        self._forget(table)
        if names:
            rows = self.connection.read_parquet(names, union_by_name=True, hive_partitioning=False)  # type: ignore[arg-type]  # the stub wants one name
            rows.create_view(table)
        else:
            self.connection.execute(f"create temp table {table} ({STATE_TYPES[table.removesuffix('_before')]})")

    def rename(self, table: str, name: str) -> None:
        """Give a table made here another name."""
        self._forget(name)
        self.connection.execute(f"alter table {table} rename to {name}")

    def hold(self, table: str, columns: str, rows: Sequence[Sequence[object]]) -> None:
        """Name rows that are at hand; columns is `name type, ...`."""
        self._forget(table)
        self.connection.execute(f"create temp table {table} ({columns})")
        if rows:
            marks = ", ".join("?" for _ in rows[0])
            self.connection.executemany(f"insert into {table} values ({marks})", rows)

    def hold_like(self, table: str, rows: Sequence[Sequence[object]]) -> None:
        """Name rows that are at hand, in the types that the store keeps this table in."""
        self.hold(table, STATE_TYPES[table], rows)

    def write(self, table: str, path: Path, order: str | None = None) -> None:
        """Write a table to a Parquet file, in a given order where one is named."""
        path.parent.mkdir(parents=True, exist_ok=True)
        rows = self.connection.table(table)
        (rows.order(order) if order else rows).write_parquet(str(path), compression="zstd")

    def count(self, table: str) -> int:
        """How many rows a table has."""
        return int(self.connection.execute(f"select count(*) from {table}").fetchall()[0][0])  # noqa: S608  (names are ours)

    def _forget(self, table: str) -> None:
        self.connection.execute(f"drop view if exists {table}") if self._kind(table) == "VIEW" else None
        self.connection.execute(f"drop table if exists {table}") if self._kind(table) else None

    def _kind(self, table: str) -> str | None:
        found = self.connection.execute(
            "select table_type from information_schema.tables where table_name = $name", {"name": table}
        ).fetchall()
        return None if not found else ("VIEW" if "VIEW" in found[0][0] else "TABLE")
