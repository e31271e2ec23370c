"""The table of models while they ran within their stated rating."""

from __future__ import annotations

from typing import TYPE_CHECKING

from reliability.cli.output import out, write_table
from reliability.cli.words import exposure, limits, percent_or_dash
from reliability.digits import percent

if TYPE_CHECKING:
    from collections.abc import Sequence

    from reliability.cli.within_rating import WithinRating


def write_within(within: Sequence[WithinRating], level: float) -> None:
    """Each model's rate while it ran within its rating, against the stated one."""
    write_table(
        "Within the stated rating only",
        [
            ("Model", "left"),
            ("Failures", "right"),
            ("Drive-years", "right"),
            ("Rate per year (95 %)", "right"),
            ("Stated", "right"),
            ("Verdict", "left"),
            ("Drive-years above", "right"),
            ("Not known", "right"),
        ],
        [
            [
                line.model,
                f"{rate.failures:,}",
                exposure(rate),
                f"{percent_or_dash(rate.per_year)} {limits(rate, level)}",
                f"{percent(line.comparison.stated)} %",
                line.comparison.verdict.value,
                exposure(line.above),
                exposure(line.unknown),
            ]
            for line in within
            for rate in (line.comparison.rate,)
        ],
    )
    for line in within:
        out().print(f"{line.model}: {line.comparison.sentence}", markup=False)
