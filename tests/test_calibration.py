"""Dirty fleets of known rate through load and compare, a few of them; docs/validation.md has 200."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from dirty.plans import MODELS
from validation.pipeline.calibration import histories, studies
from validation.pipeline.fates import SECRETIVE

if TYPE_CHECKING:
    from validation.pipeline.judged import Judged


@pytest.fixture(scope="module")
def found() -> list[Judged]:
    return histories(6)


def test_the_failures_counted_are_those_told(found: list[Judged]) -> None:
    assert [each.line.seen.rate.failures for each in found] == [each.told for each in found]
    assert {each.model for each in found} == set(MODELS)
    assert sum(each.told for each in found) > 30
    assert sum(each.line.seen.vanished for each in found if each.model == SECRETIVE) > 5


def test_the_last_look_is_the_whole(found: list[Judged]) -> None:
    for each in found:
        assert len(each.looks) == 10
        assert each.looks[-1] == each.line.seen.rate
        assert [look.failures for look in each.looks] == sorted(look.failures for look in each.looks)


def test_the_way_from_files_to_verdicts_is_calibrated(found: list[Judged]) -> None:
    assert [study for study in studies(found) if not study.holds] == []
