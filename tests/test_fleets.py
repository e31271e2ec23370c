"""Laws that hold for any history, however dirty; and each kind of dirt does its work."""

from __future__ import annotations

import csv
import gzip
import io
import zipfile
from dataclasses import replace
from datetime import timedelta
from typing import TYPE_CHECKING

import pytest
from fleets import ALL_DIRT, PERIODS, Fleet, Size, make_fleet, mapping_toml, write_files, write_log
from numpy.random import default_rng
from slow.exposure import exposure
from slow.nouns import FailureRule, RawFile, Truth

if TYPE_CHECKING:
    from pathlib import Path

SEEDS = range(4)
GROUPINGS = (["model"], ["quarter"], ["age"], ["site"], ["model", "age", "site", "rack", "batch", "quarter"])


def dirty_fleet(seed: int) -> Fleet:
    rng = default_rng(seed)
    size = Size(int(rng.integers(10, 30)), int(rng.integers(60, 160)), int(rng.integers(1, 5)), 3)
    return make_fleet(rng, size)


def in_any_order(truth: Truth) -> tuple[object, ...]:
    """Give what must not depend on the order of rows and files; lines of rejected rows do."""
    accounts = sorted((a.name, a.rows_read, a.kept, len(a.rejected), a.duplicates) for a in truth.files)
    return accounts, truth.lives, sorted(map(repr, truth.findings)), truth.days_at_risk, truth.outages


@pytest.mark.parametrize("seed", SEEDS)
def test_rows_and_days_add_up(seed: int) -> None:
    truth = dirty_fleet(seed).truth()
    for file in truth.files:
        assert file.rows_read == file.kept + len(file.rejected) + file.duplicates
    drives = {(life.serial, life.model) for life in truth.lives}
    assert sum(truth.outcomes().values()) == len(drives)
    assert sum(life.drive_days for life in truth.lives) == len(truth.days_at_risk)
    assert sum(life.outcome == "failed" for life in truth.lives) == sum(d.failed for d in truth.days_at_risk)
    for by in GROUPINGS:
        found = exposure(truth.days_at_risk, by)
        parts = [*found.cells, found.left_out]
        assert sum(cell.drive_days for cell in parts) == found.total.drive_days == len(truth.days_at_risk)
        assert sum(cell.failures for cell in parts) == found.total.failures
        assert found.total.drives == len(drives)


@pytest.mark.parametrize("seed", SEEDS)
def test_lives_are_lives(seed: int) -> None:
    truth = dirty_fleet(seed).truth()
    for life in truth.lives:
        assert 1 <= life.days_seen <= life.drive_days == (life.last_day - life.first_day).days + 1
        assert (life.entry_age_days is None) == (life.age_source == "unknown")
        if life.entry_age_days is not None and life.exit_age_days is not None:
            assert life.entry_age_days >= 0
            assert life.exit_age_days - life.entry_age_days == life.drive_days
    for one, other in zip(truth.lives, truth.lives[1:], strict=False):
        if (one.serial, one.model) == (other.serial, other.model):
            assert (other.life, one.outcome in {"interrupted", "retired"}) == (one.life + 1, True)
            assert one.last_day + timedelta(days=31) < other.first_day


@pytest.mark.parametrize("seed", SEEDS)
def test_the_order_of_rows_files_and_log_does_not_matter(seed: int) -> None:
    fleet, rng = dirty_fleet(seed), default_rng(seed)
    files = [
        replace(f, records=tuple(f.records[i] for i in rng.permutation(len(f.records)))) for f in fleet.files
    ]
    other = replace(fleet, files=tuple(reversed(files)), log=tuple(reversed(fleet.log)))
    assert in_any_order(other.truth()) == in_any_order(fleet.truth())


@pytest.mark.parametrize("seed", SEEDS)
def test_windows_that_partition_time_add_up(seed: int) -> None:
    days = dirty_fleet(seed).truth().days_at_risk
    first, last = min(d.day for d in days), max(d.day for d in days)
    cut = first + (last - first) / 3
    for by in GROUPINGS:
        whole, early, late = (
            exposure(days, by),
            exposure(days, by, None, cut),
            exposure(days, by, cut + timedelta(1)),
        )
        for cell in whole.cells:
            parts = [part for window in (early, late) for part in window.cells if part.labels == cell.labels]
            assert sum(part.drive_days for part in parts) == cell.drive_days
            assert sum(part.failures for part in parts) == cell.failures


def test_a_clean_fleet_is_read_as_planned() -> None:
    fleet = make_fleet(default_rng(1), Size(drives=40, days=120), dirt={"fail": 0.3, "words": 0.5})
    truth = fleet.truth()
    planned = sorted(
        (
            plan.serial,
            plan.model,
            fleet.plan.date(plan.entered),
            fleet.plan.date(plan.left),
            "failed" if plan.flagged else "in service",
            0,
        )
        for plan in fleet.plan.drives
    )
    read = [(x.serial, x.model, x.first_day, x.last_day, x.outcome, x.entry_age_days) for x in truth.lives]
    assert sorted(read) == planned
    assert not truth.findings


@pytest.mark.parametrize(
    ("kind", "check"),
    [
        ("no_hours", "age_unknown"),
        ("bad_hours_first", "hours_invalid"),
        ("hours_short", "hours_short"),
        ("hours_reset", "hours_backwards"),
        ("hours_jump", "hours_jump"),
        ("hours_wrap", "hours_wrapped"),
        ("vanish", "vanished"),
        ("seen_after_failure", "seen_after_failure"),
        ("seen_after_failure", "reappeared"),
        ("late_flag", "late_flag"),
        ("model_changed", "model_changed"),
        ("bridged_gap", "gap"),
        ("cutting_gap", "gap"),
        ("site_outage", "outage"),
        ("fleet_empty", "outage"),
        ("near_models", "near_spelling"),
        ("log_of_strangers", "log_unknown"),
        ("model_not_named", "log_unknown"),
        ("retired", "late_log"),
        ("logged_in_service", "seen_after_removal"),
        ("duplicate", "duplicate"),
        ("duplicate_in_conflict", "duplicate"),
        ("two_spellings", "duplicate"),
        ("across_files", "duplicate_across_files"),
        ("two_sites", "two_sites"),
    ],
)
def test_each_kind_of_dirt_is_found(kind: str, check: str) -> None:
    fleet = make_fleet(default_rng(3), Size(drives=24, days=150, models=3), dirt={kind: 0.9})
    assert check in fleet.truth().totals()


def test_every_fault_of_a_row_is_made() -> None:
    dirt = {kind: 0.01 for kind in ALL_DIRT if kind.startswith("reject_") or kind == "torn"}
    truth = make_fleet(default_rng(3), Size(drives=30, days=120), dirt=dirt).truth()
    found = {(row.column, row.kind) for file in truth.files for row in file.rejected}
    assert found >= {
        (None, "cells"),
        ("date", "missing"),
        ("date", "invalid"),
        ("date", "ahead"),
        ("serial", "missing"),
        ("serial", "control"),
        ("model", "missing"),
        ("model", "control"),
        ("failed", "unknown word"),
        ("power_on_hours", "not a number"),
        ("temperature_c", "not finite"),
    }


@pytest.mark.parametrize(
    ("number", "of_rule"),
    [
        (29, "slow.histories.BRIDGED_UP_TO"),
        (31, "slow.histories.BRIDGED_UP_TO"),
        (6, "slow.histories.LISTED_ABOVE"),
        (8, "slow.histories.LISTED_ABOVE"),
        (29, "slow.removal_log.NEAR"),
        (31, "slow.removal_log.NEAR"),
        (13, "slow.findings.REAPPEARED_FROM"),
        (15, "slow.findings.REAPPEARED_FROM"),
        (131_399, "slow.reading.MOST_HOURS"),
        (1, "slow.collected.SITE_HAS_ITS_OWN_CALENDAR_FROM"),
    ],
)
def test_a_rule_that_is_wrong_by_one_changes_the_truth_of_some_fleet(
    number: int, of_rule: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The negative control: a comparison over such fleets cannot pass with a wrong limit."""
    right = (in_any_order(dirty_fleet(seed).truth()) for seed in range(40))
    for seed, truth in enumerate(right):
        with monkeypatch.context() as patched:
            patched.setattr(of_rule, number)
            if in_any_order(dirty_fleet(seed).truth()) != truth:
                return
    pytest.fail("no fleet has a case on this limit")


def test_failures_told_by_a_state_are_the_same_failures() -> None:
    by_flag, by_state = (
        make_fleet(default_rng(1), Size(20, 60), dirt={"fail": 0.5, "state": state}).truth()
        for state in (0, 1)
    )
    assert by_flag.lives == by_state.lives
    assert by_flag.outcomes()["failed"] > 0


def test_an_unknown_kind_of_dirt_is_refused() -> None:
    with pytest.raises(KeyError, match="no such dirt"):
        make_fleet(default_rng(1), dirt={"no such dirt": 1.0})


@pytest.mark.parametrize("period", PERIODS)
def test_one_history_in_any_files_gives_the_same_lives(period: str) -> None:
    dirt = {
        kind: amount for kind, amount in ALL_DIRT.items() if kind not in {"coming_and_going", "across_files"}
    }
    fleets = [make_fleet(default_rng(5), Size(20, 120), period=each, dirt=dirt) for each in ("one", period)]
    one, other = (fleet.truth() for fleet in fleets)
    assert one.lives == other.lives
    assert one.days_at_risk == other.days_at_risk


@pytest.mark.parametrize("packing", ["plain", "gz", "zip"])
def test_written_files_hold_what_was_made(packing: str, tmp_path: Path) -> None:
    fleet = dirty_fleet(2)
    texts = []
    for path in write_files(fleet.files, tmp_path / "files", packing):
        if packing == "zip":
            with zipfile.ZipFile(path) as archive:
                texts += [(name, archive.read(name)) for name in archive.namelist()]
        else:
            content = path.read_bytes()
            texts.append(
                (path.name.removesuffix(".gz"), gzip.decompress(content) if packing == "gz" else content)
            )
    read = []
    for name, content in texts:
        header, *records = csv.reader(io.StringIO(content.decode(), newline=""))
        read.append(RawFile(name, tuple(header), tuple(map(tuple, records))))
    assert tuple(read) == fleet.files


def test_the_log_and_the_mapping_are_written(tmp_path: Path) -> None:
    fleet = dirty_fleet(2)
    with write_log(fleet.log, tmp_path / "log.csv").open(newline="") as text:
        rows = list(csv.DictReader(text))
    assert [row["serial"] for row in rows] == [entry.serial for entry in fleet.log]
    rule = FailureRule("state", frozenset({"dead", "pulled"}))
    assert mapping_toml({"A": ["B", "C"]}, rule) == (
        '[failed]\ncolumn = "state"\nvalues = ["dead", "pulled"]\n[models]\n"A" = ["B", "C"]\n'
    )
    assert not mapping_toml({}, None)
