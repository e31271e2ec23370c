"""docs/validation.md: its sections, each written from what was computed, and how the rest of it stays as it is."""

from __future__ import annotations

import re
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from validation.coverage.section import section as coverage
from validation.coverage.studies import FIELDS
from validation.laws.section import section as laws
from validation.libraries.section import section as libraries
from validation.pipeline.section import section as pipeline
from validation.published.section import section as published

if TYPE_CHECKING:
    from collections.abc import Callable

PAGE = Path(__file__).parents[2] / "docs" / "validation.md"
SECTIONS: dict[str, tuple[str, Callable[[], str]]] = {
    "published": ("Published values", published),
    "libraries": ("General libraries", libraries),
    "laws": ("Laws", laws),
    **{field.name: (f"Coverage: {field.title}", partial(coverage, field)) for field in FIELDS},
    "pipeline": ("The whole way", pipeline),
}


def written(name: str) -> str:
    """A section anew, under its heading."""
    heading, section = SECTIONS[name]
    return f"## {heading}\n\n{section()}\n"


def replaced(page: str, name: str, text: str) -> str:
    """The page with one section in place of the one under the same heading."""
    before, after = _around(page, name)
    return f"{before}{text}{after}"


def standing(page: str, name: str) -> str:
    """A section as it stands on the page."""
    before, after = _around(page, name)
    return page[len(before) : len(page) - len(after)]


def _around(page: str, name: str) -> tuple[str, str]:
    """What comes before a section, and what after."""
    heading, _ = SECTIONS[name]
    found = re.search(rf"^## {re.escape(heading)}\n.*?(?=^## |\Z)", page, flags=re.DOTALL | re.MULTILINE)
    if found is None:
        raise LookupError(f"{PAGE.name} has no section {heading!r}")
    begin, end = found.span()
    gap = "\n" if end < len(page) else ""
    return page[:begin], gap + page[end:]
