"""Files of a day each: their rows are summed up together, and come to what one file of them all comes to."""

from __future__ import annotations

import re
from datetime import date
from threading import Event
from typing import TYPE_CHECKING

import pyarrow as pa
import pyarrow.parquet as pq
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tiny_stores import csv_of, everything, put, rows

from reliability.errors import LoadStopped
from reliability.loaders import rows_at_hand
from reliability.loaders.engine import Engine
from reliability.loaders.load import load
from reliability.loaders.memory import USUAL, Memory
from reliability.loaders.month_stays import stays_of
from reliability.loaders.order import in_order, months_of, repeated
from reliability.loaders.pile import Pile
from reliability.loaders.rows_at_hand import RowsAtHand
from reliability.loaders.side_by_side import Beside

if TYPE_CHECKING:
    from pathlib import Path

    from tiny_stores import Rows

CLOCK = {number: str(24 * number + 5) for number in range(100)}


def fleet() -> Rows:
    """Three months: a drive that moves, one that fails, one that reports twice, one with a gap, all with odd cells."""
    return [
        *rows("A", range(70), site={n: "hall 1" if n < 40 else "hall 2" for n in range(70)}, rack="r1"),
        *rows("B", range(45), failed={44: "1"}, power_on_hours=CLOCK),
        *rows("B", range(80, 82), power_on_hours=CLOCK),
        *rows("C", [*range(20), 20, 20, *range(55, 90)], power_on_hours=CLOCK, temperature_c="31.5"),
        *rows("C", [7], site="hall 2"),
        *rows("D", range(3, 90), model="TRN T18", pending_sectors={60: "4", 61: "5"}),
    ]


def files_of(history: Rows, folder: Path) -> None:
    """Write a file a day, with the columns that have a value on that day."""
    for day in {row["date"] for row in history}:
        of_day = [{n: cell for n, cell in row.items() if cell} for row in history if row["date"] == day]
        put(folder / f"{day}.csv", csv_of(of_day))


def told(store: Path) -> dict[str, list[str]]:
    """What a store says, without the names of files."""
    return {
        name: [re.sub(r"\S+\.csv", "a file", row) for row in rows] for name, rows in everything(store).items()
    }


@pytest.mark.parametrize(
    ("memory", "tables"),
    [(USUAL, 1 << 10), (USUAL, 7), (Memory(40, 1 << 16, None), 1 << 10), (Memory(2, 900, 200), 1 << 10)],
    ids=["at once", "many files", "little room", "no room"],
)
def test_a_file_a_day_comes_to_what_one_file_comes_to(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, memory: Memory, tables: int
) -> None:
    monkeypatch.setattr(rows_at_hand, "TABLES_AT_ONCE", tables)
    files_of(fleet(), tmp_path / "days")
    put(tmp_path / "whole.csv", csv_of(fleet()))
    load([str(tmp_path / "whole.csv")], tmp_path / "of one")
    done = load([str(tmp_path / "days")], tmp_path / "of days", memory=memory)
    assert (done.rows_read, done.duplicate_rows) == (len(fleet()), 2)
    assert told(tmp_path / "of days") == told(tmp_path / "of one")


def test_days_added_one_by_one_come_to_the_same(tmp_path: Path) -> None:
    files_of(fleet(), tmp_path / "days")
    files = [str(file) for file in sorted((tmp_path / "days").iterdir())[18:30]]
    for file in files:
        load([file], tmp_path / "one by one")
    load(files, tmp_path / "at once")
    assert told(tmp_path / "one by one") == told(tmp_path / "at once")


KEYS = st.tuples(
    st.sampled_from((date(2025, 2, 28), date(2025, 3, 1), date(2025, 3, 2))),
    st.sampled_from("AB"),
    st.sampled_from(("T18", "T19")),
    st.sampled_from((None, "hall 1", "hall 2")),
)


@settings(max_examples=60, deadline=None)
@given(keys=st.lists(KEYS, min_size=1, max_size=20))
def test_repeated_rows_are_those_that_the_query_finds_in_the_stays(
    tmp_path_factory: pytest.TempPathFactory, keys: list[tuple[date, str, str, str | None]]
) -> None:
    days, *texts = zip(*keys, strict=True)
    coded = [pa.array(text, pa.string()).dictionary_encode() for text in texts]
    ordered = in_order(pa.table([pa.array(days), *coded], ["date", "serial", "model", "site"]))
    file = tmp_path_factory.mktemp("stays") / "stays.parquet"
    pq.write_table(pa.concat_tables(stays_of(month) for _, month in months_of(ordered)), file)
    engine = Engine()
    engine.view("file_stays", [file])
    assert [(repeated(ordered),)] == engine.ask("ingest/repeated")
    engine.close()
    assert repeated(ordered) == len(keys) - len({(day, serial, model) for day, serial, model, _ in keys})


def test_the_month_with_most_rows_is_summed_up_first_and_only_when_there_is_no_room(tmp_path: Path) -> None:
    waiting = RowsAtHand(10)
    for number, (month, count) in enumerate([("2025-01", 3), ("2025-02", 4), ("2025-01", 2)]):
        waiting.add(month, tmp_path / str(number), pa.table({"serial": ["A"] * count}))
        assert waiting.fullest() is None
    waiting.add("2025-02", tmp_path / "3", pa.table({"serial": ["A"]}))
    assert waiting.fullest() == "2025-01"
    assert [table.num_rows for table in waiting.take("2025-01").values()] == [3, 2]
    assert waiting.fullest() is None
    assert waiting.take("2025-01") == {}


def test_a_disk_that_is_full_while_days_are_summed_up_leaves_the_store_as_it_was(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    files_of(fleet(), tmp_path / "days")
    load([str(tmp_path / "days" / "2025-03-01.csv")], tmp_path / "store")
    before = told(tmp_path / "store")
    monkeypatch.setattr(Pile, "add", full)
    with pytest.raises(LoadStopped, match=r"is as it was: .*No space left on device"):
        load([str(tmp_path / "days")], tmp_path / "store", memory=Memory(40, 1 << 16, None))
    assert told(tmp_path / "store") == before


def test_work_beside_is_done_one_by_one_and_all_of_it_by_the_end() -> None:
    may_end, done = Event(), []

    def slow() -> None:
        may_end.wait()
        done.append("slow")

    with Beside() as beside:
        beside.do(slow)
        assert not done
        may_end.set()
        beside.do(lambda: done.append("next"))
        assert done[0] == "slow"
    assert done == ["slow", "next"]


def test_an_error_of_the_work_beside_is_raised_and_hides_no_other() -> None:
    def broken() -> None:
        raise OSError("the work")

    with pytest.raises(OSError, match="the work"), Beside() as beside:
        beside.do(broken)
    with pytest.raises(ZeroDivisionError), Beside() as beside:  # noqa: PT012  (both have to go wrong)
        beside.do(broken)
        raise ZeroDivisionError
