"""Where a query runs. Queries are files; this is the embedded engine that runs them."""

from __future__ import annotations

import re
from contextlib import contextmanager
from pathlib import Path
from threading import RLock
from typing import TYPE_CHECKING, Any

import duckdb

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

    import pyarrow as pa
    from numpy.typing import NDArray

QUERIES = Path(__file__).parent / "queries"
BATCH = 1 << 17  # rows
UNREADABLE = (
    duckdb.OperationalError,
    duckdb.DataError,
    duckdb.InvalidInputException,
)  # the file's fault, not the query's
FULL = (
    duckdb.IOException,
    duckdb.OutOfMemoryException,
)  # neither's fault: the disk or the memory is at its end
STATE_TYPES = {
    "known_drives": "drive bigint, serial string, model_key string",
    "presence": "site string, drive bigint, first_day date, last_day date",
    "drives": (
        "drive bigint, first_day date, last_seen date, first_after date, days_seen bigint, "
        "days_counted bigint, failed_day date, first_hours double, first_hours_day date, last_hours double, "
        "last_hours_day date, unclocked_days bigint"
    ),
    "stints": (
        "drive bigint, spell bigint, stint bigint, site string, first_day date, last_day date, "
        "days_seen bigint, absences bigint, longest_gap_days int, rack string, rack_day date, batch string, "
        "batch_day date, is_open boolean"
    ),
    "absences": "drive bigint, first_day date, last_day date, collected_days int, cuts boolean",
    "hour_steps": (
        "drive bigint, hours_from double, day_from date, hours_to double, day_to date, code string"
    ),
    "double_days": "drive bigint, day date, code string, detail string",
    "file_stays": "serial string, model_read string, month date, days int, rows int",
    "removals": "serial string, date date, outcome string, model string, reason string, log string",
    "repeats": "code string, serial string, model_read string, first_day date, rows bigint, detail string",
    "days_collected": "site string, month date, days int",
    "rejects": "file string, line int, column_name string, value string, reason string",
    "spellings": "model_read string, model_key string",
    "awkward": "serial string",
    "near_spellings": "model_key string, other string",
}  # the tables that may have no row yet, in types that both engines know


def literal(path: Path) -> str:
    """A path in which the engine sees no pattern: in `fleet[1].csv` the brackets stand for themselves."""
    return re.sub(r"([*?\[])", r"[\1]", str(path))


class Engine:
    """The embedded engine: named queries over named rows, nothing kept when it is closed.

    beside  another one, which has started already: their threads and memory are the same, their names are not
    """

    def __init__(
        self, spill: Path | None = None, megabytes: int | None = None, *, beside: Engine | None = None
    ) -> None:
        self._connection: duckdb.DuckDBPyConnection = duckdb.connect() if beside is None else beside.another()
        self._kinds: dict[str, str] = {}  # name -> table or view
        self._turn = RLock()
        self._connection.execute("set autoinstall_known_extensions = false")
        self._connection.execute("set enable_progress_bar = false")
        self._connection.execute("set timezone = 'UTC'")  # a moment becomes the same day on every machine
        if megabytes is not None:
            self._connection.execute("set memory_limit = $limit", {"limit": f"{megabytes}MB"})
        if spill is not None:
            self._connection.execute("set temp_directory = $folder", {"folder": str(spill)})

    def another(self) -> duckdb.DuckDBPyConnection:
        """A connection with the same threads and memory, on which no name is taken."""
        return self._connection.cursor()

    @contextmanager
    def alone(self) -> Iterator[None]:
        """Have the engine for one while files are read side by side: names of tables are used in turns."""
        with self._turn:
            yield

    def close(self) -> None:
        """End the engine and what it holds in memory."""
        self._connection.close()

    def text(self, query: str) -> str:
        """The SQL of a query, by its name."""
        return (QUERIES / f"{query}.sql").read_text(encoding="utf-8")

    def make(self, table: str, query: str | None = None, **parameters: object) -> None:
        """Run a query and keep its rows under a name, in place of what had that name before."""
        self.make_from(table, self.text(query or table), **parameters)

    def make_from(self, table: str, text: str, **parameters: object) -> None:
        """The same with the text of a query, for the few that depend on the columns of a file."""
        self._take_name(table, "table")
        self._connection.execute(f"create temp table {table} as {text}", parameters or None)

    def ask(self, query: str, **parameters: object) -> list[tuple[Any, ...]]:
        """Run a query by its name and fetch its rows."""
        return self._connection.execute(self.text(query), parameters or None).fetchall()

    def columns(self, query: str, **parameters: object) -> dict[str, NDArray[Any]]:
        """Run a query by its name and fetch its rows as columns of numbers, where they are many."""
        columns: dict[str, Any] = self._connection.execute(self.text(query), parameters or None).fetchnumpy()
        return columns

    def batches(self, query: str) -> Iterator[Any]:
        """Run a query by its name and fetch its rows in batches of Arrow."""
        yield from self._connection.sql(self.text(query)).to_arrow_reader(BATCH)

    def view(self, name: str, files: Iterable[Path]) -> None:
        """Name the rows of Parquet files; without a file, an empty table of the types it has in the store."""
        paths = [literal(file) for file in files]
        if paths:
            self._take_name(name, "view")
            rows = self._connection.read_parquet(paths, union_by_name=True, hive_partitioning=False)
            rows.create_view(name)
        else:
            self.hold_like(name, ())

    def define(self, name: str, query: str | None = None) -> None:
        """Name the rows of a query without keeping them: it runs where they are asked for."""
        self._take_name(name, "view")
        self._connection.execute(f"create temp view {name} as {self.text(query or name)}")

    def view_all(self, name: str, tables: Iterable[str]) -> None:
        """Name the rows of several tables of one shape."""
        self._take_name(name, "view")
        rows = " union all ".join(f"select * from {table}" for table in tables)  # noqa: S608  (names are ours)
        self._connection.execute(f"create temp view {name} as {rows}")

    def rename(self, table: str, name: str) -> None:
        """Give a table or view made here another name, in place of what had that name before."""
        kind = self._kinds.pop(table)
        self._take_name(name, kind)
        self._connection.execute(f"alter {kind} {table} rename to {name}")

    def hold(self, table: str, columns: str, rows: Sequence[Sequence[object]]) -> None:
        """Name rows that are at hand; columns is `name type, ...`."""
        self._take_name(table, "table")
        self._connection.execute(f"create temp table {table} ({columns})")
        if rows:
            # One statement with a list a column: a statement a row takes a thousand times as long.
            lists = ", ".join("unnest(?)" for _ in rows[0])
            self._connection.execute(
                f"insert into {table} select {lists}", [list(column) for column in zip(*rows, strict=True)]
            )

    def hold_like(self, table: str, rows: Sequence[Sequence[object]]) -> None:
        """Name rows that are at hand, in the types that the table has in the store."""
        self.hold(table, STATE_TYPES[table.removesuffix("_before")], rows)

    def write(self, table: str, path: Path, order: str | None = None) -> None:
        """Write a table to a Parquet file, in a given order where one is named."""
        path.parent.mkdir(parents=True, exist_ok=True)
        rows = self._connection.table(table)
        (rows.order(order) if order else rows).write_parquet(str(path), compression="zstd")

    def arrow(self, table: str) -> pa.Table:
        """The rows of a table, for another engine."""
        return self._connection.table(table).to_arrow_table()

    def count(self, table: str) -> int:
        """How many rows a table has."""
        rows = self._connection.execute(f"select count(*) from {table}").fetchall()  # noqa: S608  (names are ours)
        return int(rows[0][0])

    def columns_of(self, file: Path) -> dict[str, str]:
        """The columns of a Parquet file with their types."""
        rows = self._connection.read_parquet(literal(file), hive_partitioning=False)
        return dict(zip(rows.columns, map(str, rows.types), strict=True))

    def forget_broken_records(self) -> None:
        """The engine keeps what it could not cut until it is told otherwise."""
        self._connection.execute("drop table if exists reject_errors")
        self._connection.execute("drop table if exists reject_scans")

    def _take_name(self, name: str, kind: str) -> None:
        """Drop what has this name, of whatever kind; it is now another's."""
        if name in self._kinds:
            # A query that failed left the name without rows.
            self._connection.execute(f"drop {self._kinds[name]} if exists {name}")
        self._kinds[name] = kind
