"""What the verdicts of `driveyears compare` allow for: how many models there are, and failures in batches."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from reliability.cli.output import out, write_table
from reliability.cli.words import chance
from reliability.comparer.batches import Spread, widest_spread
from reliability.comparer.holm import AfterHolm, after_holm
from reliability.comparer.stated import Verdict, limits_in_words
from reliability.digits import significant
from reliability.loaders.store import Store
from reliability.rate import Rate
from reliability.report.model_lines import ModelLine

LABELS = ("batch", "rack", "site")
SEED = 365  # of the draws, so that the same store gives the same numbers


@dataclass(frozen=True, slots=True)
class Allowances:
    """For one model with a datasheet; `spread` is None if no label has groups and failures enough."""

    line: ModelLine
    holm: AfterHolm
    spread: Spread | None

    @property
    def spread_verdict(self) -> Verdict | None:
        """The verdict by the limits that hold other groups too."""
        if self.spread is None or self.line.comparison is None:
            return None
        return self.spread.verdict(self.line.comparison.stated, self.line.comparison.ratio)

    @property
    def sentences(self) -> list[str]:
        """What a person reads below the model's own verdict."""
        said = [] if self.holm.sentence is None else [self.holm.sentence]
        if self.spread is not None and self.line.comparison is not None:
            said.append(self.spread.about(self.line.comparison.stated, self.line.comparison.ratio))
        return said


def allowances(store: Store, lines: Sequence[ModelLine], level: float) -> dict[str, Allowances]:
    """For every model that has a datasheet."""
    rng = np.random.default_rng(SEED)
    groups = {label: _groups(store, label) for label in LABELS}
    after = after_holm({line.model: line.comparison for line in lines if line.comparison is not None})
    return {
        line.model: Allowances(
            line,
            after[line.model],
            widest_spread(
                line.seen.rate,
                {label: groups[label].get(line.model, []) for label in LABELS},
                rng=rng,
                level=level,
            ),
        )
        for line in lines
        if line.comparison is not None
    }


def _groups(store: Store, label: str) -> dict[str, list[Rate]]:
    """Each model's groups; drives without a label are none, since what they share is only that nobody wrote it down."""
    found: dict[str, list[Rate]] = {}
    for cell in store.exposure(("model", label)).cells:
        if cell.labels[label] is not None:
            found.setdefault(str(cell.labels["model"]), []).append(cell.rate)
    return found


def write_spreads(allowed: Sequence[Allowances]) -> None:
    """How far the failures of each model lie apart, as a table, and which models have no groups for it."""
    rows = [(each.line.model, each.spread, each.spread_verdict) for each in allowed]
    headings = ("Model", "Grouped by", "Pearson index", "p", "Rate per year (95 %)", "Verdict")
    shown = [
        [
            model,
            found.grouping,
            significant(found.test.index),
            chance(found.test.p_value),
            limits_in_words(found.interval),
            "" if verdict is None else verdict.value,
        ]
        for model, found, verdict in rows
        if found is not None
    ]
    if shown:
        write_table(
            "Spread between groups",
            [(name, "left" if name in ("Model", "Grouped by", "Verdict") else "right") for name in headings],
            shown,
        )
    if without := [model for model, found, _ in rows if found is None]:
        out().print(
            f"About these drives only, since no batch, rack or site label has 5 groups with 5 failures: "
            f"{', '.join(without)}.",
            markup=False,
        )
