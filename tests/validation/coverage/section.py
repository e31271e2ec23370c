"""What the page says of coverage in a field: each row a study and its wrong method."""

from __future__ import annotations

from typing import TYPE_CHECKING

from validation.markdown import table

if TYPE_CHECKING:
    from collections.abc import Sequence

    from validation.coverage.studies import Field
    from validation.coverage.study import Study

HEADINGS = ("Method", "Where", "States", "Holds", "Wrong method", "Holds then", "Kept")
NUMBERS = ("States", "Holds", "Holds then")


def section(field: Field) -> str:
    """One field."""
    return told(field.studies())


def told(studies: Sequence[Study]) -> str:
    """Studies as a table, and how many of them are as they should be."""
    kept, short = sum(study.holds for study in studies), sum(study.control_falls_short for study in studies)
    found = f"Kept in {kept} of {len(studies)} settings; the wrong method beside it is seen to fall short in {short}."
    return f"{found}\n\n{table(HEADINGS, _rows(studies), NUMBERS)}"


def _rows(studies: Sequence[Study]) -> list[list[str]]:
    """Methods in the order in which they come up, each named once, above its settings, and so the wrong one."""
    by_method: dict[str, list[Study]] = {}
    for study in studies:
        by_method.setdefault(study.method, []).append(study)
    rows = []
    for method, settings in by_method.items():
        control = ""
        for place, study in enumerate(settings):
            named = "" if study.control == control else (control := study.control)
            rows.append(["" if place else method, *_row(study, named)])
    return rows


def _row(study: Study, control: str) -> list[str]:
    kept = "yes" if study.holds else "**no**"
    allowed = f" (within {study.tolerated:g})" if study.tolerated else ""
    return [
        study.setting,
        f"{study.nominal:.3g}",
        f"{study.covered:.3f} ± {study.error:.3f}" if study.simulations else f"{study.covered:.3f}",
        control,
        f"{study.control_covered:.3f}",
        kept + allowed,
    ]
