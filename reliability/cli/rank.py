"""`driveyears rank`: models side by side."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Annotated

import numpy as np
from cyclopts import Parameter

from reliability.cli.models_asked import models_asked
from reliability.cli.options import DEFAULT_STORE, Format, StoreFolder
from reliability.cli.output import out, write_csv, write_json, write_table
from reliability.cli.words import chance, exposure, limits, percent_or_dash
from reliability.comparer.ranking import Pair, Ranked, Ranking
from reliability.comparer.ranking import rank as ranked
from reliability.comparer.vanished import taken_as_censored
from reliability.digits import LIMIT_DIGITS, counted, percent, significant, years_at_risk
from reliability.interval import Interval
from reliability.loaders.exposure import Cell
from reliability.loaders.store import Store, open_store
from reliability.report.side_by_side import models_of

LEVEL = 0.95
SEED = 365  # of the draws, so that the same store gives the same numbers
MUCH_LEFT_OUT = 0.1  # of the failures
SMALLEST_SHARE = 0.01
SMALLEST = 5e-6  # a rate that is shown as more than nothing


def rank(
    *,
    model: Annotated[
        tuple[str, ...],
        Parameter(
            help="a model to compare, once for each; without one, all", negative=(), show_default=False
        ),
    ] = (),
    store: StoreFolder = DEFAULT_STORE,
    shown_as: Format = "table",
) -> None:
    """Set models side by side: raw, at one mix of ages and shrunk rates, and every two against each other."""
    opened = open_store(store)
    ranking, left_out = _ranking(opened, model)
    rows = [_row(row) for row in ranking.rows]
    if shown_as == "json":
        pairs = [_pair(pair) for pair in ranking.pairs]
        write_json({"rows": rows, "pairs": pairs, "refused": " ".join(ranking.refused) or None})
    elif shown_as == "csv":
        write_csv(rows, list(rows[0]))
    else:
        _write(ranking, left_out, {each.model: each.vanished for each in opened.outcomes()})


def _ranking(store: Store, names: tuple[str, ...]) -> tuple[Ranking, Cell]:
    """The models asked for, and what of the store has no known age."""
    asked, aged = set(models_asked(store, names)), store.exposure(("model", "age"))
    models = models_of(store.exposure(), aged, asked)
    return ranked(models, rng=np.random.default_rng(SEED), level=LEVEL), aged.left_out


def _row(row: Ranked) -> dict[str, object]:
    rate, at_ages, shrunk = row.model.rate, row.standardised, row.shrunk
    return {
        "model": row.model.name,
        "failures": rate.failures,
        "drive_years": rate.drive_years,
        "afr": rate.per_year,
        "standardised": at_ages and at_ages.per_year,
        "standardised_low": at_ages and at_ages.interval.low,
        "standardised_high": at_ages and at_ages.interval.high,
        "shrunk": shrunk and shrunk.per_year,
        "shrunk_low": shrunk and shrunk.interval.low,
        "shrunk_high": shrunk and shrunk.interval.high,
        "worst_probability": shrunk and shrunk.worst_probability,
    }


def _pair(pair: Pair) -> dict[str, object]:
    return {
        "model": pair.model,
        "other": pair.other,
        "ratio": pair.ratio.value,
        "low": pair.ratio.interval.low,
        "high": pair.ratio.interval.high,
        "p_value": pair.ratio.p_value,
        "p_holm": pair.p_holm,
    }


def _write(ranking: Ranking, left_out: Cell, vanished: Mapping[str, int]) -> None:
    """The models, the pairs, and what could not be said."""
    names = (
        "Failures",
        "Drive-years",
        "Raw rate (95 %)",
        "At common ages (95 %)",
        "Shrunk rate (95 %)",
        "Worst",
    )
    write_table(
        "Models side by side, by shrunk rate" if ranking.rows[0].shrunk else "Models side by side, by name",
        [("Model", "left"), *((name, "right") for name in names)],
        [_cells(row) for row in ranking.rows],
    )
    out().print(ranking.sentence)
    if ranking.pairs:
        columns = (
            ("Model", "left"),
            ("Against", "left"),
            ("Times (95 %)", "right"),
            ("p-value, Holm", "right"),
        )
        write_table(
            "Every two models",
            [*columns, ("What that says", "left")],
            [
                [pair.model, pair.other, _times(pair), chance(pair.p_holm), pair.sentence]
                for pair in ranking.pairs
            ],
        )
    shown = {row.model.name: vanished.get(row.model.name, 0) for row in ranking.rows}
    if (censored := taken_as_censored(shown)) is not None:
        out().print(censored, markup=False)
    for sentence in ranking.refused:
        out().print(sentence, markup=False)
    if left_out.drives:
        out().print(
            f"Of unknown age, and not in what allows for age: {counted(left_out.drives, 'drive')}, "
            f"{years_at_risk(left_out.rate.drive_years)}, {counted(left_out.failures, 'failure')}."
        )
    failures = sum(row.model.rate.failures for row in ranking.rows)
    if left_out.failures > MUCH_LEFT_OUT * failures:
        out().print("Warning: they hold over 10 % of the failures, so what allows for age may mislead.")
    out().print(CAUTION)


def _cells(row: Ranked) -> list[str]:
    rate, at_ages, shrunk = row.model.rate, row.standardised, row.shrunk
    return [
        row.model.name,
        f"{rate.failures:,}",
        exposure(rate),
        f"{percent_or_dash(rate.per_year)} {limits(rate, LEVEL)}",
        "-" if at_ages is None else _with_limits(at_ages.per_year, at_ages.interval),
        "-" if shrunk is None else _with_limits(shrunk.per_year, shrunk.interval),
        "-" if shrunk is None else _share(shrunk.worst_probability),
    ]


def _with_limits(rate: float, interval: Interval) -> str:
    low, high = (
        percent(limit if limit >= SMALLEST else 0.0, LIMIT_DIGITS) for limit in (interval.low, interval.high)
    )
    return f"{percent(rate)} % ({low}-{high})"


def _times(pair: Pair) -> str:
    value, interval = pair.ratio.value, pair.ratio.interval
    if value is None:
        return "-"
    low = significant(interval.low, LIMIT_DIGITS)
    if math.isinf(value):
        return f"{low} or more"
    return f"{significant(value)} ({low}-{significant(interval.high, LIMIT_DIGITS)})"


def _share(chance: float) -> str:
    """A chance in percent; one too small to have come up often is not called 0."""
    return f"{100 * chance:.0f} %" if chance >= SMALLEST_SHARE else "<1 %"


CAUTION = (
    "Worst: how probable it is that no other model's true rate is higher. What was compared was observed, not put to "
    "the test: models differ in batch, site and load, too. These rates describe fleets; they predict no single drive."
)
