"""Drives in service at a day: what a store says of the past is what a store loaded only up to that day says."""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING

import pytest
from tiny_stores import FIRST, Rows, csv_of, day, loaded, put, rows

from reliability.errors import QuestionError
from reliability.loaders.store import Store, open_store

if TYPE_CHECKING:
    from collections.abc import Iterable
    from pathlib import Path

LAST = 120
AGES = {"F": 5, "V": 300, "I": 0, "L": 7, "S": 12, "G": 90, "W1": 40, "W2": 41, "E1": 3, "E2": 4, "X": 9}
SEEN: dict[str, Iterable[int]] = {
    "F": range(21),  # fails on day 20
    "V": range(41),  # vanishes
    "I": [*range(11), *range(60, LAST + 1)],  # is interrupted, and comes back as another life
    "L": range(50, LAST + 1),  # comes late
    "S": range(LAST + 1),
    "G": [*range(30), *range(50, LAST + 1)],  # is absent for 20 days
    "W1": range(61),  # the whole site in the west falls silent on day 61
    "W2": range(61),
    "E1": range(71),  # vanishes in the east
    "E2": range(LAST + 1),
    "X": [*range(16), 90],  # is flagged after a gap that has ended its life
}
SITES = {"W1": "west", "W2": "west", "E1": "east", "E2": "east"}
FAILS = {"F": 20, "X": 90}
DAYS = (0, 10, 20, 41, 46, 71, 75, 90, 101, 102, LAST)


def history(serial: str, last: int) -> Rows:
    found: Rows = []
    for number in SEEN[serial]:
        if number <= last:
            failed = "1" if FAILS.get(serial) == number else "0"
            model = "TARN T18" if serial in "FVILX" else "PELL P6"
            hours = str(24 * (AGES[serial] + number))
            cells = {"failed": failed, "power_on_hours": hours, "site": SITES.get(serial, "")}
            found += [row | cells for row in rows(serial, [number], model)]
    return found


def store_up_to(last: int, folder: Path, capsys: pytest.CaptureFixture[str]) -> Store:
    undated = rows("U", range(last + 1), failed="0")
    source = put(folder / "all.csv", csv_of(*(history(serial, last) for serial in SEEN), undated))
    loaded(capsys, folder / "fleet", source)
    return open_store(folder / "fleet")


def told(store: Store, number: int | None = None) -> dict[str, tuple[list[float], list[int], int]]:
    last_day = None if number is None else FIRST + timedelta(days=number)
    found = {model: each.drives for model, each in store.standing(last_day).items()}
    return {model: (d.age.tolist(), d.drives.tolist(), d.unknown) for model, d in found.items()}


@pytest.mark.parametrize("number", DAYS)
def test_the_past_is_told_as_it_was_known_then(
    number: int, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    now = store_up_to(LAST, tmp_path / "now", capsys)
    then = store_up_to(number, tmp_path / "then", capsys)
    found = told(now, number)
    assert found == told(then)
    assert {m: sum(n) + unknown for m, (_, n, unknown) in found.items() if sum(n) + unknown} == {
        each.model: each.in_service for each in then.outcomes() if each.in_service
    }


def test_failures_after_a_day_are_those_of_the_drives_in_service_on_it(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    store = store_up_to(LAST, tmp_path, capsys)

    def failed(number: int, by: int) -> int:
        days = (FIRST + timedelta(days=each) for each in (number, by))
        return sum(each.failed for each in store.standing(*days).values())

    assert failed(10, 19) == 0
    assert failed(10, 20) == 1  # the day itself counts
    assert failed(20, LAST) == 1  # F has failed; X was seen on day 15, and fails on day 90
    assert failed(60, LAST) == 0  # by then X had been gone for too long to be in service
    assert failed(10, LAST) == 2


def test_one_model_and_none(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    store = store_up_to(LAST, tmp_path, capsys)
    assert str(store.in_service("TARN T18")) == "3 drives in service, 121 to 127 days old, 1 of unknown age"
    assert store.in_service("TARN T18", FIRST - timedelta(days=1)).total == 0
    with pytest.raises(QuestionError, match="no model 'TARN'"):
        store.in_service("TARN")


def test_a_drive_not_seen_on_the_day_has_grown_older_since(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    source = put(tmp_path / "a.csv", csv_of(rows("A", range(5), power_on_hours="240"), rows("B", range(9))))
    loaded(capsys, tmp_path / "fleet", source)
    assert open_store(tmp_path / "fleet").in_service("TARN T18").age.tolist() == [
        18
    ]  # 9 as day 0 began; 9 days
    assert day(8) == "2025-03-09"
