"""Published lifetimes survive the way through snapshots: the slow reader gives back each age to the day."""

from __future__ import annotations

import json
from functools import cache, partial
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from published_fleet import FIRST_DAY, PublishedFleet, channing_residents, generator_fans
from slow.exposure import exposure
from slow.reader import read

if TYPE_CHECKING:
    from collections.abc import Callable

    from slow.nouns import Truth

PUBLISHED = Path(__file__).parent / "references" / "published.json"


@cache
def as_read(fleet: PublishedFleet) -> Truth:
    return read(fleet.files, fleet.log, today=FIRST_DAY.replace(year=2026))


MAKERS: dict[str, Callable[[], PublishedFleet]] = {
    "fans": generator_fans,
    "residents": channing_residents,
    "residents by sex": partial(channing_residents, model_each_sex=True),
}


@pytest.mark.parametrize("published", MAKERS)
def test_each_lifetime_is_given_back(published: str) -> None:
    fleet = MAKERS[published]()
    truth = as_read(fleet)
    found = {x.serial: (x.model, x.entry_age_days, x.exit_age_days, x.outcome) for x in truth.lives}
    assert found == {
        unit.serial: (unit.model, unit.entry, unit.exit, "failed" if unit.failed else "retired")
        for unit in fleet.units
    }
    assert not truth.findings


def test_fans_have_the_published_exposure_and_failures() -> None:
    # references/published.json, genfan_exp: 344,440 hours and 12 failures; a fleet day is 10 hours
    groups = json.loads(PUBLISHED.read_text(encoding="utf-8"))["groups"].values()
    (entry,) = (entry for group in groups for entry in group if entry["id"] == "genfan_exp")
    total = exposure(as_read(generator_fans()).days_at_risk).total
    assert (10 * total.drive_days, total.failures) == (entry["expected"]["T"], entry["expected"]["r"])
    assert total.drives == 70


def test_residents_who_left_in_the_month_they_came_stand_apart() -> None:
    fleet = channing_residents()
    assert len(fleet.units) + len(fleet.left_out) == 462
    assert all(unit.exit <= unit.entry for unit in fleet.left_out)
    assert len(fleet.left_out) == 4
