"""How far the failures of each model spread between batches, racks or sites, as a table."""

from __future__ import annotations

from collections.abc import Sequence

from reliability.cli.output import out, write_table
from reliability.cli.words import chance
from reliability.comparer.stated import limits_in_words
from reliability.digits import significant
from reliability.report.model_lines import ModelLine


def write_spreads(lines: Sequence[ModelLine]) -> None:
    """How far the failures of each model with a datasheet spread, and which of them have no groups for it."""
    rows = [(line, line.spread) for line in lines if line.comparison is not None]
    headings = ("Model", "Grouped by", "Pearson index", "p-value", "Rate per year (95 %)", "Verdict")
    shown = [
        [
            line.model,
            found.grouping,
            significant(found.test.index),
            chance(found.test.p_value),
            limits_in_words(found.widened(line.interval)),
            "" if line.spread_verdict is None else line.spread_verdict.value,
        ]
        for line, found in rows
        if found is not None
    ]
    if shown:
        write_table(
            "Spread between groups",
            [(name, "left" if name in ("Model", "Grouped by", "Verdict") else "right") for name in headings],
            shown,
        )
    if without := [line.model for line, found in rows if found is None]:
        out().print(
            f"About these drives only, since no batch, rack or site label has 5 groups with 5 failures: "
            f"{', '.join(without)}.",
            markup=False,
        )
