from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pytest

from reliability.comparer.ranking import Model, rank
from reliability.figures.ranking import ranking
from reliability.rate import Rate

if TYPE_CHECKING:
    from matplotlib.figure import Figure

    from reliability.comparer.ranking import Ranked

COUNTS = {
    "Dorn 4": (90, 1_000),
    "Dorn 6": (10, 1_000),
    "Dorn 8": (12, 1_000),
    "Dorn $9$": (11, 1_000),
    "Dorn 0": (0, 9),
}


def rows(*names: str) -> tuple[Ranked, ...]:
    models = [
        Model(name, Rate(x, 365 * years)) for name, (x, years) in COUNTS.items() if name in names or not names
    ]
    return rank(models, rng=np.random.default_rng(3)).rows


def points(figure: Figure, label: str) -> list[list[tuple[float, float]]]:
    (axes,) = figure.axes
    drawn = [line for line in axes.lines if line.get_label() == label]
    return [[(float(x), float(y)) for x, y in np.asarray(line.get_xydata())] for line in drawn]


def test_raw_and_shrunk_stand_in_the_row_of_their_model() -> None:
    given = rows()
    figure = ranking(given, level=0.95)
    (axes,) = figure.axes
    assert [label.get_text() for label in axes.get_yticklabels()] == [row.model.name for row in given]
    shrunk = [marker[0] for marker in points(figure, "shrunk rate")]
    assert [x for x, _ in shrunk] == [row.shrunk.per_year for row in given if row.shrunk]
    assert [round(y) for _, y in shrunk] == [0, 1, 2, 3, 4]
    raw = {round(y): x for ((x, y),) in points(figure, "raw rate")}
    assert raw == {
        place: row.model.rate.per_year for place, row in enumerate(given) if row.model.rate.failures
    }


def test_limits_are_those_of_the_rows() -> None:
    """10 failures: 4.79539 to 18.39036, Garwood's table."""
    given = rows()
    place = next(place for place, row in enumerate(given) if row.model.name == "Dorn 6")
    (low, _), (high, _) = points(ranking(given, level=0.95), "raw limits")[place]
    assert (low, high) == pytest.approx((0.00479539, 0.01839036))


def test_a_bracket_joins_the_rows_of_each_run_and_overlapping_ones_stand_side_by_side() -> None:
    figure = ranking(rows(), level=0.95, together=((0, 1), (1, 3), (2, 4)))
    brackets = points(figure, "not told apart")
    assert [(round(low, 1), round(high, 1)) for (_, low), (_, high) in brackets] == [
        (-0.3, 1.3),
        (0.7, 3.3),
        (1.7, 4.3),
    ]
    first, second, third = (bracket[0][0] for bracket in brackets)
    assert 1 < first < second
    assert third == first, "the first column is free again"
    assert not points(ranking(rows(), level=0.95), "not told apart")


def test_on_a_narrow_page_names_stand_above_the_rows() -> None:
    given = rows()
    figure = ranking(given, level=0.95, names="above")
    (axes,) = figure.axes
    assert [text.get_text() for text in axes.texts] == [row.model.name for row in given]
    assert figure.get_size_inches()[0] < 4


def test_without_shrunk_rates_the_raw_bars_stand_alone() -> None:
    figure = ranking(rows("Dorn 4", "Dorn 6"), level=0.95)
    assert len(points(figure, "raw limits")) == 2
    assert points(figure, "shrunk limits") == points(figure, "shrunk rate") == []


def test_what_leaves_the_scale_ends_in_an_arrow() -> None:
    figure = ranking(rows(), level=0.95)
    (axes,) = figure.axes
    edges = axes.get_xlim()
    assert any(marker[0][0] == edges[0] for marker in points(figure, "goes on"))
    assert all(edges[0] <= x <= edges[1] for line in points(figure, "raw limits") for x, _ in line)
