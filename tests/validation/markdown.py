"""Tables of a Markdown document."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence


def table(headings: Sequence[str], rows: Iterable[Sequence[str]], right: Iterable[str] = ()) -> str:
    """Rows under their headings; columns named in `right` hold numbers.

    >>> print(table(["Word", "Count"], [["a|b", "2"]], right=["Count"]))
    | Word | Count |
    | --- | ---: |
    | a\\|b | 2 |
    """
    numbers = set(right)
    rule = ["---:" if heading in numbers else "---" for heading in headings]
    cells = [[cell.replace("|", "\\|") for cell in row] for row in rows]
    return "\n".join(f"| {' | '.join(row)} |" for row in (headings, rule, *cells))
