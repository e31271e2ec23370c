"""The comparison with the slow reader finds what is tampered with, and nothing else."""

from __future__ import annotations

from dataclasses import asdict, replace
from datetime import timedelta
from typing import TYPE_CHECKING, Any

import pytest
from against_twin import accounts_apart, differences, exposure_apart
from fleets import Size, make_fleet
from numpy.random import default_rng
from slow.exposure import Cell, exposure

if TYPE_CHECKING:
    from slow.nouns import Truth


@pytest.fixture(scope="module")
def truth() -> Truth:
    return make_fleet(default_rng(4), Size(drives=20, days=150)).truth()


def tables(truth: Truth) -> tuple[list[dict[str, Any]], list[dict[str, Any]]]:
    findings = [asdict(finding) | {"detail": " and ".join(finding.names)} for finding in truth.findings]
    return [asdict(life) for life in truth.lives], findings


def test_the_truth_agrees_with_itself(truth: Truth) -> None:
    assert differences(*tables(truth), truth) == []


@pytest.mark.parametrize(
    ("column", "value"),
    [("last_day", None), ("drive_days", 0), ("outcome", "lost"), ("checks", "x"), ("life", 9)],
)
def test_one_other_cell_of_a_life_is_found(truth: Truth, column: str, value: object) -> None:
    lives, findings = tables(truth)
    lives[3][column] = value
    said = differences(lives, findings, truth)
    assert said
    assert all(lives[3]["serial"] in sentence for sentence in said)


def test_one_finding_more_or_less_or_moved_is_found(truth: Truth) -> None:
    lives, findings = tables(truth)
    assert len(differences(lives, findings[1:], truth)) == 1
    assert len(differences(lives, [*findings, findings[0]], truth)) == 1
    moved = findings[0] | {"first_day": findings[0]["first_day"] + timedelta(days=1)}
    assert len(differences(lives, [moved, *findings[1:]], truth)) == 2  # one is missing, one is none
    named = next(finding for finding in findings if finding["names"])
    named["detail"] = "somewhere else"
    assert len(differences(lives, findings, truth)) == 2


def test_exposure_and_accounts_are_compared(truth: Truth) -> None:
    found = exposure(truth.days_at_risk, ["site"])

    def row(cell: Cell) -> dict[str, Any]:
        return asdict(cell) | dict(cell.labels) | {"labels": ""}

    cells = [{k: v for k, v in row(cell).items() if k != "labels"} for cell in found.cells]
    assert exposure_apart(cells, row(found.left_out), row(found.total), found) == []
    cells[0]["failures"] += 1
    assert len(exposure_apart(cells, row(found.left_out), row(found.total), found)) == 1
    assert len(exposure_apart(cells[1:], row(found.left_out), row(found.total), found)) == 1
    sources = [
        {
            "name": f"folder/{file.name}",
            "rows_read": file.rows_read,
            "rows_kept": file.kept,
            "rows_rejected": len(file.rejected),
            "duplicate_rows": file.duplicates,
        }
        for file in truth.files
    ]
    assert accounts_apart(sources, truth) == []
    lost = replace(truth, files=truth.files[1:])
    assert len(accounts_apart(sources, lost)) == 1
