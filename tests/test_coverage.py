"""Every interval holds the truth as often as it states, a wrong method does not; docs/validation.md has more fleets."""

from __future__ import annotations

import pytest
from validation.coverage.studies import FIELDS, SMALL, Field
from validation.coverage.study import Study


@pytest.mark.parametrize("field", [field for field in FIELDS if field.keeps], ids=lambda field: field.name)
def test_methods_keep_what_they_state_and_wrong_ones_do_not(field: Field) -> None:
    """In some settings chance may hide that a wrong method is wrong; not in all of them."""
    studies = field.studies(times_fewer=SMALL)
    assert [study for study in studies if not study.holds] == []
    seen_through = {study.method for study in studies if study.control_falls_short}
    assert seen_through == {study.method for study in studies}


@pytest.mark.parametrize(
    "field", [field for field in FIELDS if not field.keeps], ids=lambda field: field.name
)
def test_where_methods_are_known_to_break_they_do(field: Field) -> None:
    """Else the page, and the limits in docs/methods.md, say too much."""
    studies = field.studies(times_fewer=4)
    worst = min(studies, key=lambda study: study.covered)
    assert not worst.holds


def test_a_study_that_falls_short_is_seen() -> None:
    def study(covered: float, simulations: int, tolerated: float = 0.0) -> Study:
        return Study("limits", "somewhere", 0.95, covered, simulations, "others", 0.9, tolerated)

    assert study(0.9501, 0).holds
    assert not study(0.9499, 0).holds  # exact sums allow for nothing
    assert study(0.9455, 20_000).holds
    assert not study(0.945, 20_000).holds  # more than three standard errors of 0.0015
    assert study(0.93, 20_000, tolerated=0.02).holds
    assert study(0.95, 20_000).control_falls_short
    assert not study(0.95, 100).control_falls_short  # not with so few fleets
