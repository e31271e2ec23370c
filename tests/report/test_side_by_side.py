"""The models side by side on the page: the same ranking as the command, and what of it has room."""

from __future__ import annotations

import csv
import io

import numpy as np

from reliability.comparer.ranking import Model, rank
from reliability.quarter import Quarter
from reliability.rate import Rate
from reliability.report.contents import gather
from reliability.report.page import page
from reliability.report.side_by_side import MOST_PAIRS, SideBySide, models_of
from reliability.report.tables import tables
from report.html_walk import walk
from report.sheets import SHEETS
from report.stand_in import invented

QUARTER = Quarter(2026, 3)


def test_each_model_is_taken_with_its_bands_of_known_age() -> None:
    store = invented()
    models = models_of(store.exposure(("model",)), store.exposure(("model", "age")))
    (korrin,) = [model for model in models if model.name == "Korrin 12N"]
    known = sum(korrin.by_age.values(), Rate(0, 0))
    assert korrin.rate.failures - known.failures == 4, "those of unknown age"
    assert {model.name for model in models} == {cell.labels["model"] for cell in store.exposure().cells}


def test_only_the_models_asked_for_are_taken() -> None:
    store = invented()
    found = models_of(store.exposure(("model",)), store.exposure(("model", "age")), {"Osk 4"})
    assert [model.name for model in found] == ["Osk 4"]


def many(models: int) -> SideBySide:
    fleet = [Model(f"Dorn {place}", Rate(3**place, 365 * 1_000)) for place in range(models)]
    return SideBySide(rank(fleet, rng=np.random.default_rng(1)), None)


def test_the_page_shows_the_surest_pairs_and_counts_the_others() -> None:
    found = many(9)
    assert len(found.apart) == MOST_PAIRS
    shown = {(pair.model, pair.other) for pair in found.apart}
    rest = [pair for pair in found.ranking.pairs if (pair.model, pair.other) not in shown]
    surest = max(pair.p_holm or 0 for pair in found.apart)
    assert all(pair.p_holm is None or pair.p_holm >= surest for pair in rest)
    more = sum(pair.told_apart for pair in rest)
    assert found.other_pairs == (
        f"{more} more pairs can be told apart and {len(rest) - more} pairs cannot; "
        "all pairs with their limits are in tables/pairs.csv."
    )


def test_pairs_of_which_none_can_be_told_apart_are_told_in_a_whole_sentence() -> None:
    alike = [Model(f"Dorn {place}", Rate(3, 365 * 1_000)) for place in range(3)]
    found = SideBySide(rank(alike, rng=np.random.default_rng(1)), None)
    assert found.apart == []
    assert found.other_pairs == (
        "3 pairs cannot be told apart; all pairs with their limits are in tables/pairs.csv."
    )


def test_a_single_model_has_no_pairs_and_no_words_about_them() -> None:
    assert many(1).apart == []
    assert many(1).other_pairs is None


def test_page_and_tables_tell_the_same_ranking() -> None:
    contents = gather(invented(), SHEETS, QUARTER, command="driveyears report")
    ranking = contents.side_by_side.ranking
    text = walk(page(contents)).text
    assert ranking.sentence in text
    assert all(pair.sentence in text for pair in contents.side_by_side.apart)
    rows = list(csv.DictReader(io.StringIO(tables(contents)["ranking.csv"])))
    assert [row["model"] for row in rows] == [row.model.name for row in ranking.rows]
    pairs = list(csv.DictReader(io.StringIO(tables(contents)["pairs.csv"])))
    assert [row["sentence"] for row in pairs] == [pair.sentence for pair in ranking.pairs]
    assert {row["told_apart"] for row in pairs} == {"yes", "no"}


def test_models_of_which_drives_vanished_are_named_wherever_models_are_compared() -> None:
    contents = gather(invented(), SHEETS, QUARTER, command="driveyears report")
    told = (
        "Counted up to the day last seen, and not as failed: 14 drives of Korrin 12N, 9 drives of Osk 4 that "
        "vanished. What is said of these models, and of others against them, depends on what became of those drives."
    )
    assert contents.side_by_side.vanished == told
    assert walk(page(contents)).text.count(told) == 2, "beside the ranking, and beside survival"
