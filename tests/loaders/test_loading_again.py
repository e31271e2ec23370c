"""The same file again changes nothing, a changed one replaces its rows: as if the store were made of the files anew."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import pyarrow as pa
import pyarrow.parquet as pq
import pytest
from tiny_stores import (
    csv_of,
    everything,
    fingerprint,
    good,
    lives,
    loaded,
    manifest,
    put,
    rejects,
    rows,
    said,
    table,
)

if TYPE_CHECKING:
    from pathlib import Path


class Folder:
    """A folder of sources and the store that is made of it."""

    def __init__(self, path: Path, capsys: pytest.CaptureFixture[str]) -> None:
        self.path, self.capsys = path, capsys
        self.store = path / "fleet"

    def put(self, name: str, content: str | bytes) -> Path:
        return put(self.path / "source" / name, content)

    def load(self, *arguments: object) -> dict[str, Any]:
        return loaded(self.capsys, self.store, self.path / "source", *arguments)

    def anew(self, *arguments: object) -> dict[str, list[str]]:
        """What a store says that is made of the files as they are now."""
        other = self.path / "anew"
        loaded(self.capsys, other, self.path / "source", *arguments)
        return everything(other)


@pytest.fixture
def folder(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Folder:
    return Folder(tmp_path, capsys)


def test_the_same_files_again_change_nothing(folder: Folder) -> None:
    folder.put("a.csv", good("A") + "soon,C,M\n")
    folder.put("bad.csv", "")
    log = put(folder.path / "r.csv", "serial,date,outcome\nA,2025-03-02,failed\nA,x,failed\n")
    folder.load("--removals", log)
    before = fingerprint(folder.path)
    again = folder.load("--removals", log)
    assert fingerprint(folder.path) == before
    assert (again["files"], again["rows_read"], again["files_set_aside"]) == (0, 0, 1)
    assert (again["drives"], again["failed"]) == (2, 1)


def test_the_same_content_under_another_name_changes_nothing(folder: Folder) -> None:
    file = folder.put("a.csv", good("A"))
    folder.load()
    before = (folder.store / "manifest.json").read_bytes()
    folder.put("b.csv", good("A"))
    folder.put("0.csv", good("A"))
    assert folder.load()["files"] == 0
    file.rename(file.with_name("c.csv"))
    assert folder.load()["files"] == 0
    assert (folder.store / "manifest.json").read_bytes() == before


def test_the_same_content_twice_in_one_load_is_read_once(folder: Folder) -> None:
    folder.put("a.csv", good("A"))
    folder.put("b.csv", good("A"))
    found = folder.load()
    assert (found["files"], found["rows_read"]) == (1, 3)
    assert [check["check"] for check in found["checks"]] == ["age_unknown"]


def test_a_changed_file_replaces_its_rows_and_drives_that_were_only_there_vanish(folder: Folder) -> None:
    folder.put("a.csv", csv_of(rows("A", range(3)), rows("ONLY", range(3), site="quay")) + "soon,X,M,\n")
    folder.put("b.csv", csv_of(rows("A", range(3, 6)), rows("B", range(2, 6))))
    folder.load()
    folder.put("a.csv", csv_of(rows("A", range(2), failed={1: "1"})) + "2025-03-09,,M,\n")
    found = folder.load()
    assert (found["files"], found["rows_kept"], found["rows_rejected"]) == (1, 2, 1)
    assert lives(folder.store) == [("A", 0, 1, "failed"), ("B", 2, 5, "in service")]
    assert [row[:2] for row in rejects(folder.store)] == [(4, "serial")]
    assert everything(folder.store) == folder.anew()
    assert said(folder.capsys, "checks", "--store", folder.store, "--format", "json").json["rows_kept"] == 9


MOVES: dict[str, tuple[str, str]] = {
    "from one month to another": (
        csv_of(rows("A", range(5)), rows("C", range(5))),
        csv_of(rows("A", range(40, 45)), rows("C", range(40, 45))),
    ),
    "out of one of its months": (csv_of(rows("A", range(20, 40))), csv_of(rows("A", range(31, 40)))),
    "into one month more": (csv_of(rows("A", range(20, 30))), csv_of(rows("A", range(20, 40)))),
    "all its rows gone": (csv_of(rows("A", range(3))), "date,serial,model\nsoon,A,M\n"),
    "a failure, a site, hours, a row twice": (
        csv_of(
            rows("B", [3, 4], failed={3: "1"}, site="quay"),
            rows("W", range(3), power_on_hours={0: "900", 1: "1", 2: "2"}),
            rows("D", [1, 1, 2], failed={2: "1"}),
        ),
        csv_of(
            rows("B", [3, 4], site="east"),
            rows("W", range(3), power_on_hours={0: "24", 1: "48", 2: "72"}),
            rows("D", [1, 2, 3]),
        ),
    ),
}


@pytest.mark.parametrize("case", MOVES)
def test_every_month_that_a_changed_file_touches_before_or_after_is_right(case: str, folder: Folder) -> None:
    before, after = MOVES[case]
    folder.put("a.csv", before)
    folder.put("b.csv", csv_of(rows("B", range(50)), rows("W", range(60))))
    folder.load()
    folder.put("a.csv", after)
    folder.load()
    assert everything(folder.store) == folder.anew()


def test_a_store_left_without_a_row_fills_again(folder: Folder) -> None:
    folder.put("a.csv", good("A"))
    folder.load()
    folder.put("a.csv", "date,serial,model\nsoon,A,M\n")
    assert folder.load()["drives"] == 0
    assert said(folder.capsys, "rates", "--store", folder.store).code == 2
    folder.put("a.csv", good("A"))
    assert folder.load()["drives"] == 2
    assert everything(folder.store) == folder.anew()


def test_files_that_took_each_others_names_are_all_there(folder: Folder) -> None:
    # as programs do that number their older files: what was snap.csv is snap-1.csv now, and snap.csv is new
    snap = folder.put("snap.csv", csv_of(rows("A", range(3))))
    folder.load()
    for start in (3, 6):
        if (old := snap.with_name("snap-1.csv")).exists():
            old.rename(snap.with_name("snap-2.csv"))
        snap.rename(old)
        folder.put("snap.csv", csv_of(rows("A", range(start, start + 3))))
        folder.load()
    assert lives(folder.store) == [("A", 0, 8, "in service")]
    assert table(folder.store, "lives")[0]["days_seen"] == 9
    assert everything(folder.store) == folder.anew()
    assert len(manifest(folder.store)["sources"]) == 3


def test_two_files_that_swap_their_content_are_still_both_there(folder: Folder) -> None:
    first, second = csv_of(rows("A", range(3))), csv_of(rows("B", range(2)))
    folder.put("a.csv", first)
    folder.put("b.csv", second)
    folder.load()
    folder.put("a.csv", second)
    folder.put("b.csv", first)
    folder.load()
    assert everything(folder.store) == folder.anew()


def test_a_file_set_aside_now_keeps_its_rows_and_is_told_until_it_is_mended(folder: Folder) -> None:
    folder.put("a.csv", good("A"))
    folder.put("b.csv", csv_of(rows("W", range(3))))
    folder.load()
    folder.put("a.csv", "")
    found = folder.load()
    assert (found["files_set_aside"], found["drives"]) == (1, 3)
    assert list(manifest(folder.store)["set_aside"]) == [str(folder.path / "source" / "a.csv")]
    folder.put("a.csv", good("A"))
    folder.load()
    assert manifest(folder.store)["set_aside"] == {}


def test_other_rules_of_the_mapping_read_the_file_anew(folder: Folder) -> None:
    folder.put("a.csv", csv_of(rows("A", range(3), state={0: "ok", 1: "odd", 2: "dead"})))
    rules = '[failed]\ncolumn = "state"\nvalues = ["{}"]\n'
    for word, last in (("dead", 2), ("odd", 1), ("odd", 1)):
        mapping = put(folder.path / "m.toml", rules.format(word))
        found = folder.load("--mapping", mapping)
        assert lives(folder.store) == [("A", 0, last, "failed")]
    assert found["files"] == 0, "the third time nothing was new"


def test_other_aliases_join_and_part_models_without_reading_a_file_again(folder: Folder) -> None:
    file = folder.put(
        "a.csv", csv_of(rows("A", [0, 1], model="TARN T18"), rows("A", [2, 3], model="T18-TARN"))
    )
    mapping = put(folder.path / "m.toml", '[models]\n"TARN T18" = ["T18-TARN"]\n')
    folder.load("--mapping", mapping)
    assert lives(folder.store) == [("A", 0, 3, "in service")]
    file.unlink()  # and put back as it was: nothing may need it meanwhile
    spare = put(folder.path / "spare.csv", csv_of(rows("B", [0])))
    for text, expected in (
        ('[models]\n"TARN T18" = []\n', {"TARN T18": 2, "T18-TARN": 2}),
        ('[models]\n"Tarn" = ["TARN T18", "T18-TARN"]\n', {"Tarn": 4}),  # both have gone over to another key
        (
            '[models]\n"TARN T18" = ["Tarn"]\n',
            {"TARN T18": 4},
        ),  # and the key itself, with all that it stood for
    ):
        put(mapping, text)
        loaded(folder.capsys, folder.store, spare, "--mapping", mapping)
        found = {
            row["model"]: row["drive_days"] for row in table(folder.store, "lives") if row["serial"] == "A"
        }
        assert found == expected
    put(file, csv_of(rows("A", [0, 1], model="TARN T18"), rows("A", [2, 3], model="T18-TARN")))
    assert loaded(folder.capsys, folder.store, file)["files"] == 0


def test_aliases_of_several_mappings_add_up(folder: Folder) -> None:
    models = {"A": "TRN", "B": "ULA"}
    for serial, model in models.items():
        file = folder.put(f"{serial}.csv", csv_of(rows(serial, [0], model=model)))
        mapping = put(folder.path / "m.toml", f'[models]\n"Maker {model}" = ["{model}"]\n')
        loaded(folder.capsys, folder.store, file, "--mapping", mapping)
    assert sorted({row["model"] for row in table(folder.store, "lives")}) == ["Maker TRN", "Maker ULA"]
    folder.load()  # a load without a mapping forgets none
    assert sorted({row["model"] for row in table(folder.store, "lives")}) == ["Maker TRN", "Maker ULA"]


def test_a_store_that_was_moved_is_asked_and_loaded_as_before(folder: Folder) -> None:
    folder.put("a.csv", good("A"))
    folder.load()
    before = everything(folder.store)
    moved = folder.path / "moved"
    folder.store.rename(moved)
    assert everything(moved) == before
    assert loaded(folder.capsys, moved, folder.put("other.csv", good("C")))["drives"] == 3


def test_rows_of_an_earlier_version_are_summed_up_with_those_of_now(folder: Folder) -> None:
    for number in range(3):
        folder.put(f"{number}.csv", csv_of(rows("A", [number]), rows("B", [number])))
    folder.load()
    for part in (folder.store / "snapshots").rglob("*.parquet"):
        told = pq.read_table(part)  # it did not say which columns have a value in each row
        may_lack = pa.schema([field.with_nullable(True) for field in told.schema])  # noqa: FBT003  (its only argument)
        pq.write_table(told.cast(may_lack), part)
    folder.put("1.csv", csv_of(rows("A", [1])))
    folder.load()
    assert everything(folder.store) == folder.anew()
