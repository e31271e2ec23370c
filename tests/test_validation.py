"""docs/validation.md says what its command computes."""

from __future__ import annotations

import pytest
from validate import main
from validation.libraries.pairs import pairs
from validation.page import PAGE, SECTIONS, replaced, standing, written
from validation.published.compared import compared
from validation.published.section import TITLES

QUICK = ["published", "laws", "rates", "plans"]


@pytest.mark.parametrize("name", QUICK)
def test_the_page_is_what_is_computed(name: str) -> None:
    """After a change: `PYTHONPATH=. python tests/validate.py published --write`."""
    assert standing(PAGE.read_text(encoding="utf-8"), name) == written(name)


def test_general_libraries_say_the_same() -> None:
    """Searches for a best fit end a little apart; all else agrees to rounding."""
    for each in pairs():
        assert each.ours == pytest.approx(each.theirs, rel=1e-5 if "Weibull" in each.method else 1e-6), each


def test_every_field_has_a_table_and_every_entry_agrees() -> None:
    rows = [each for group in TITLES for each in compared(group)]
    assert len(rows) == 85
    assert all(each.within for each in rows)
    assert all(each.source for each in rows)


def test_a_section_is_put_in_place_of_the_old_one_and_the_rest_stays() -> None:
    page = PAGE.read_text(encoding="utf-8")
    for name, (heading, _) in SECTIONS.items():
        changed = replaced(page, name, f"## {heading}\n\nelse\n")
        assert standing(changed, name) == f"## {heading}\n\nelse\n"
        assert replaced(changed, name, standing(page, name)) == page


def test_another_section_is_refused(capsys: pytest.CaptureFixture[str]) -> None:
    assert main("nothing") == 2
    assert "There is no section 'nothing'; the sections are published" in capsys.readouterr().err
