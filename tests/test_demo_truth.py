"""The package, read from files to answers, is held to what the demonstration's generator planted.

The generator counts the truth while it makes the fleet, drive by drive and day by day, by no rule of the
package. So a difference is a fault of one of the two.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest

from reliability.loaders.load import load
from reliability.loaders.mapping import read_mapping
from reliability.loaders.store import open_store

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from reliability.loaders.store import Store

DEMO = Path(__file__).parents[1] / "data" / "demo"
TRUTH: dict[str, Any] = json.loads((DEMO / "truth.json").read_text(encoding="utf-8"))

SPLITS: list[tuple[str, tuple[str, ...], Callable[[Mapping[str, Any]], str]]] = [
    ("model", ("model",), lambda labels: labels["model"]),
    ("quarter", ("quarter",), lambda labels: labels["quarter"]),
    ("model and quarter", ("model", "quarter"), lambda labels: f"{labels['model']} {labels['quarter']}"),
    ("site", ("site",), lambda labels: labels["site"] or "none"),
    ("age_from_days", ("age",), lambda labels: str(labels["age_from_days"])),
]


@pytest.fixture(scope="module")
def store(tmp_path_factory: pytest.TempPathFactory) -> Store:
    folder = tmp_path_factory.mktemp("demo") / "fleet"
    load([str(DEMO / "house")], folder)
    log = [str(DEMO / "removals.csv")]
    load([str(DEMO / "lantern")], folder, mapping=read_mapping(DEMO / "mapping.toml"), removals=log)
    return open_store(folder)


def test_every_file_has_the_rows_that_were_planted(store: Store) -> None:
    read = {
        source.name.split("demo/")[-1]: {key: getattr(source, key) for key in TRUTH["rows"]}
        for source in store.sources()
    }
    assert read == TRUTH["files"]
    assert {key: getattr(store.accounts(), key) for key in TRUTH["rows"]} == TRUTH["rows"]


def test_the_broken_copy_is_set_aside(store: Store) -> None:
    assert [held.name.split("demo/")[-1] for held in store.set_aside()] == TRUTH["files_set_aside"]


def test_the_drives_pulled_for_bad_sectors_are_those_of_the_log(store: Store) -> None:
    """The generator writes that reason for drives alone that it retires for a warning sign."""
    lines = (DEMO / "removals.csv").read_text(encoding="utf-8").splitlines()
    logged = [line for line in lines if line.endswith(",bad sectors")]
    assert sum(each.preemptive for each in store.retirements()) == len(logged) == 12
    unclear = {reason for each in store.retirements() for reason, _ in each.unclear}
    assert unclear == {"found when the log was tidied", "re-labelled after new firmware"}


def test_every_planted_finding_is_counted_and_no_other(store: Store) -> None:
    found = {total.check: (total.drives, total.rows) for total in store.findings()}
    assert found == {check: (held["drives"], held["rows"]) for check, held in TRUTH["checks"].items()}


@pytest.mark.parametrize(("split", "by", "label_of"), SPLITS, ids=[split for split, _, _ in SPLITS])
def test_cells_hold_the_exposure_that_was_planted(
    store: Store, split: str, by: tuple[str, ...], label_of: Callable[[Mapping[str, Any]], str]
) -> None:
    exposure = store.exposure(by=by)
    cells = {label_of(cell.labels): cell for cell in exposure.cells}
    if exposure.left_out.drives:
        cells["unknown"] = exposure.left_out
    counted = {
        label: {"drive_days": cell.drive_days, "drives": cell.drives, "failures": cell.failures}
        for label, cell in cells.items()
    }
    assert counted == TRUTH["cells"][split]
    assert exposure.total.drives == TRUTH["drives"]


def test_drives_end_as_they_were_planted(store: Store) -> None:
    ends = ("failed", "retired", "vanished", "in_service")
    ended = {held.model: {end: getattr(held, end) for end in ends} for held in store.outcomes()}
    assert ended == {model: {end: held[end] for end in ends} for model, held in TRUTH["ends"].items()}


def test_days_credited_without_a_report_are_those_of_the_absences(store: Store) -> None:
    whole = sum(cell["drive_days"] for cell in TRUTH["cells"]["model"].values())
    assert store.bridged().drive_days == whole - TRUTH["days_reported"]
