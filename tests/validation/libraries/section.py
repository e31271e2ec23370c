"""What the page says of general libraries: a table."""

from __future__ import annotations

from importlib.metadata import version

from validation.libraries.pairs import pairs
from validation.markdown import table

CLOSE = 1e-6  # a search for the best fit ends so near, and elsewhere elsewhere
LIBRARIES = ("scipy", "statsmodels", "lifelines")


def section() -> str:
    """One row a number."""
    found = pairs()
    rows = [
        [
            each.method,
            each.library,
            each.data,
            f"{each.theirs:.5g}",
            f"{each.ours:.5g}",
            "< 1e-6" if each.apart < CLOSE else f"{each.apart:.0e}".replace("e-0", "e-"),
        ]
        for each in found
    ]
    used = ", ".join(f"{name} {version(name)}" for name in LIBRARIES)
    headings = ("Method", "Library", "Data", "Theirs", "Ours", "Apart")
    return (
        f"{len(found)} numbers by general libraries ({used}) on published data. The tests compare many more, on fleets "
        f"that chance makes up.\n\n{table(headings, rows, headings[3:])}"
    )
