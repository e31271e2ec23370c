"""The drives retired for warning signs, as a table: the rate without and with them as failures."""

from __future__ import annotations

from collections.abc import Sequence

from reliability.cli.output import out, write_table
from reliability.cli.words import percent_or_dash
from reliability.comparer.stated import SINGLE_LOOK, limits_in_words
from reliability.comparer.vanished import Bound
from reliability.report.model_lines import ModelLine


def write_preemptive(lines: Sequence[ModelLine]) -> None:
    """A line for each model that has any, and below it the reasons that tell neither a warning sign nor a plan."""
    if found := [line for line in lines if line.preemptive.count]:
        headings = ("Rate per year as they are (95 %)", "Verdict then", "As failures (95 %)", "Verdict then")
        looks = {line.comparison.look for line in lines if line.comparison is not None} or {SINGLE_LOOK}
        write_table(
            f"Retired for warning signs ({', '.join(looks)})",
            [
                ("Model", "left"),
                ("Retirements", "right"),
                *((name, "left" if name.startswith("Verdict") else "right") for name in headings),
            ],
            [_row(line) for line in found],
        )
    for line in lines:
        if line.preemptive.unclear_sentence is not None:
            out().print(f"{line.model}: {line.preemptive.unclear_sentence}", markup=False)


def _row(line: ModelLine) -> list[str]:
    cases = (line.preemptive.without, line.preemptive.counted)
    return [
        line.model,
        f"{line.preemptive.count:,}",
        *(cell for case in cases for cell in (_rate(case), _verdict(case))),
    ]


def _verdict(case: Bound) -> str:
    return "no datasheet" if case.verdict is None else case.verdict.value


def _rate(case: Bound) -> str:
    if case.per_year is None:
        return "no exposure"
    return f"{percent_or_dash(case.per_year)} ({limits_in_words(case.interval).removesuffix(' %')})"
