"""The tables behind the models side by side: each model, and every two of them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from reliability.report.csv_text import csv_text

if TYPE_CHECKING:
    from reliability.comparer.ranking import Pair, Ranked, Ranking
    from reliability.report.csv_text import Value

_MODEL = (
    *("model", "failures", "drive_years", "afr", "standardised", "standardised_low", "standardised_high"),
    *("shrunk", "shrunk_low", "shrunk_high", "worst_probability"),
)
_PAIR = ("model", "other", "ratio", "low", "high", "by_age", "p_value", "p_holm", "told_apart", "sentence")


def ranking_tables(ranking: Ranking) -> dict[str, str]:
    """File name to the text of each table."""
    return {
        "ranking.csv": csv_text(_MODEL, map(_model, ranking.rows)),
        "pairs.csv": csv_text(_PAIR, map(_pair, ranking.pairs)),
    }


def _model(row: Ranked) -> list[Value]:
    rate = row.model.rate
    told: list[Value] = [row.model.name, rate.failures, rate.drive_years, rate.per_year]
    for each in (row.standardised, row.shrunk):
        told += [None] * 3 if each is None else [each.per_year, each.interval.low, each.interval.high]
    return [*told, None if row.shrunk is None else row.shrunk.worst_probability]


def _pair(pair: Pair) -> list[Value]:
    ratio = pair.ratio
    told: list[Value] = [pair.model, pair.other, ratio.value, ratio.interval.low, ratio.interval.high]
    told += ["yes" if ratio.by_age else "no", ratio.p_value, pair.p_holm]
    return [*told, "yes" if pair.told_apart else "no", pair.sentence]
