"""The rows of Parquet files as they lie on a cluster: typed, and with the column at fault where one cannot be kept.

The rules are those of `queries/ingest/careful_rows.sql`, written for columns of any type: what a file holds as a
day or a number is taken as it is, and only text is looked into.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from pyspark.sql import functions as sql
from pyspark.sql.types import DateType, NumericType, TimestampNTZType, TimestampType

from reliability.loaders.cluster.day_format import as_spark_writes
from reliability.loaders.columns import SNAPSHOT_COLUMNS
from reliability.loaders.text import BLANKS

if TYPE_CHECKING:
    from datetime import date

    from pyspark.sql import Column, DataFrame
    from pyspark.sql.types import DataType

    from reliability.loaders.columns import Column as OurColumn
    from reliability.loaders.mapping import Mapping

SPARK_TYPES = {"date": "date", "text": "string", "number": "double"}
DAYS = DateType | TimestampType | TimestampNTZType
CONTROL = r"\p{Cc}"
NUMBER = r"^[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d+)?$|^[+-]?(?i)(nan|inf|infinity)$"
YES = ("true", "t", "yes", "y", "1", "1.0")
NO = ("false", "f", "no", "n", "0", "0.0")
FIRST_DAY = "1000-01-01"  # a year has four digits
MAY_BE_ENDLESS = ("power_on_hours",)  # a check of its own tells of it


class Cell(NamedTuple):
    """One of our columns in every row: its value, whether it is at fault, and the text to tell of it."""

    value: Column
    fault: Column
    text: Column


def judged(rows: DataFrame, mapping: Mapping, today: date) -> DataFrame:
    """Our columns, typed, of every row; its file and number; `fault` and the `cell` at fault, null where it is kept.

    rows    under our names, each with `source_file` and `row_index`; with `day_in_name` where the day stands there
    today   a row may be dated one day ahead of it
    """
    kinds = {field.name: field.dataType for field in rows.schema.fields}
    cells = {column.name: _cell(column, kinds.get(column.name), mapping) for column in SNAPSHOT_COLUMNS}
    day = cells["date"].value
    if "day_in_name" in kinds:
        day = sql.coalesce(sql.col("day_in_name"), day)
    cells["date"] = cells["date"]._replace(value=day, fault=_no_such_day(day, today))
    return rows.select(
        "source_file",
        "row_index",
        *(cell.value.alias(name) for name, cell in cells.items()),
        _first_at_fault(cells, {name: sql.lit(name) for name in cells}).alias("fault"),
        _first_at_fault(cells, {name: cell.text for name, cell in cells.items()}).alias("cell"),
    )


def _first_at_fault(cells: dict[str, Cell], told: dict[str, Column]) -> Column:
    """What is told of the first column at fault, which may be nothing; nothing where none is."""
    first, *others = cells
    found = sql.when(cells[first].fault, told[first])
    for name in others:
        found = found.when(cells[name].fault, told[name])
    return found


def _cell(column: OurColumn, kind: DataType | None, mapping: Mapping) -> Cell:
    """Read one of our columns from what the file holds for it, which may be nothing."""
    if kind is None:
        # Where nothing is said of it, nothing has failed.
        value = _never() if column.kind == "flag" else sql.lit(None).cast(SPARK_TYPES[column.kind])
        return Cell(value, _never(), sql.lit(None).cast("string"))
    cell = sql.col(column.name)
    if column.kind == "date":
        return _day(cell, kind, mapping)
    if column.kind == "flag":
        return _flag(cell, kind, mapping)
    if column.kind == "number":
        return _number(cell, kind, mapping.scales()[column.name], finite=column.name not in MAY_BE_ENDLESS)
    return _text(cell, kind, needed=column.required)


def _day(cell: Column, kind: DataType, mapping: Mapping) -> Cell:
    """Make a day of a day, a moment, or a text; what is no day is null."""
    word, text = _word(cell, kind)
    if isinstance(kind, DAYS):
        return Cell(cell.cast("date"), _never(), text)
    form = sql.lit(as_spark_writes(mapping.date_format()))
    return Cell(sql.try_to_timestamp(word, form).cast("date"), _never(), text)


def _no_such_day(day: Column, today: date) -> Column:
    return day.isNull() | (day < sql.lit(FIRST_DAY).cast("date")) | (day > sql.date_add(sql.lit(today), 1))


def _flag(cell: Column, kind: DataType, mapping: Mapping) -> Cell:
    word, text = _word(cell, kind)
    words = mapping.failed.values if mapping.failed is not None else None
    if words is not None:
        return Cell(sql.coalesce(word.isin(words), _never()), _never(), text)
    word = sql.coalesce(sql.lower(word), sql.lit(""))
    return Cell(word.isin(*YES), ~word.isin("", *YES, *NO), text)


def _number(cell: Column, kind: DataType, scale: float, *, finite: bool) -> Cell:
    word, text = _word(cell, kind)
    if isinstance(kind, NumericType):
        number, given = cell.cast("double"), cell.isNotNull()
        text = sql.replace(
            sql.lower(text), sql.lit("infinity"), sql.lit("inf")
        )  # as the embedded engine says it
    else:
        number, given = sql.when(word.rlike(NUMBER), word.try_cast("double")), word.isNotNull()
    good = sql.abs(number) < sql.lit(float("inf")) if finite else number.isNotNull()
    return Cell(number * sql.lit(scale), given & ~sql.coalesce(good, _never()), text)


def _text(cell: Column, kind: DataType, *, needed: bool) -> Cell:
    word, text = _word(cell, kind)
    return Cell(word, word.isNull() | word.rlike(CONTROL) if needed else _never(), text)


def _word(cell: Column, kind: DataType) -> tuple[Column, Column]:
    """Give a cell as trimmed text, null where it is blank, and as the text that stood there."""
    # A moment stands for its whole day.
    text = (cell.cast("date") if isinstance(kind, DAYS) else cell).cast("string")
    return sql.nullif(sql.btrim(text, sql.lit(BLANKS)), sql.lit("")), text


def _never() -> Column:
    return sql.lit(False)  # noqa: FBT003  (a column of it)
