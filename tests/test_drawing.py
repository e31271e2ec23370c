"""`draw`: any result to axes, by what is on them."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np
import pytest
from fresh_python import fresh_python
from matplotlib.figure import Figure

import reliability as rel
from reliability.loaders.exposure import Cell, Exposure
from reliability.survival.weibull_life import Weibull

if TYPE_CHECKING:
    from pathlib import Path

    from matplotlib.axes import Axes

TABLE = rel.risk_table(
    [0] * 20,
    [365, 500, 730, 800] + [1095] * 16,
    ["failed", "failed", "failed", "retired"] + ["in service"] * 16,
)
EXPOSURE = Exposure(
    ("model", "age"),
    (
        Cell(9, 3650, 1, {"model": "TARN T18", "age_from_days": 0, "age_to_days": 91}),
        Cell(9, 3650, 0, {"model": "$x^2$", "age_from_days": 2555, "age_to_days": None}),
    ),
    Cell(18, 7300, 1),
    Cell(0, 0, 0),
)


def axes() -> Axes:
    return Figure().subplots()


def labels(drawn: Axes) -> set[str]:
    artists = [*drawn.lines, *drawn.collections]
    return {str(artist.get_label()) for artist in artists}


@pytest.mark.parametrize(
    ("result", "shown", "across"),
    [
        (rel.kaplan_meier(TABLE), {"survival", "limits"}, "age in years"),
        (rel.weibull(TABLE), {"fit"}, "age in years"),
        (rel.cumulative_incidence(TABLE), {"failed", "retired", "vanished"}, "age in years"),
        (rel.hazard(TABLE), {"rate", "limits"}, "age in years"),
        (rel.Rate(4, 365_000), {"rate", "limits"}, "failures per 100 drive-years"),
        (EXPOSURE, {"rate", "limits", "goes on"}, "failures per 100 drive-years"),
        (
            rel.compare(rel.Rate(9, 365_000), stated=0.0035),
            {"rate", "limits", "stated", "times stated", "between"},
            "failures per 100 drive-years",
        ),
    ],
)
def test_each_result_is_drawn_onto_the_axes_given(
    result: Any,  # noqa: ANN401  (any result)
    shown: set[str],
    across: str,
) -> None:
    given = axes()
    drawn = rel.draw(result, given)
    assert drawn is given
    assert shown <= labels(drawn)
    assert drawn.get_xlabel() == across


def test_a_life_is_drawn_over_its_curve() -> None:
    life = rel.weibull(TABLE)
    assert isinstance(life, Weibull)
    drawn = rel.draw(life, axes(), curve=rel.kaplan_meier(TABLE))
    assert {"survival", "limits", "fit"} <= labels(drawn)
    assert drawn.get_ylabel() == "Survival"


def test_a_life_alone_is_drawn_up_to_its_quantile() -> None:
    life = rel.weibull(TABLE)
    assert isinstance(life, Weibull)
    points = np.asarray(rel.draw(life, axes()).lines[0].get_xydata())
    assert points[:, 0].max() == pytest.approx(life.quantiles[0].age.value / 365)
    assert points[:, 1].min() == pytest.approx(0.9)  # by B10 a tenth has failed


def test_a_curve_that_starts_late_says_so() -> None:
    late = rel.risk_table([400] * 20, [500] + [900] * 19, ["failed"] + ["retired"] * 19)
    assert rel.draw(rel.kaplan_meier(late), axes()).get_ylabel() == "Survival given alive at age 400 days"


def test_cells_are_rows_named_by_their_labels() -> None:
    drawn = rel.draw(EXPOSURE, axes())
    names = [label.get_text() for label in drawn.get_yticklabels()]
    assert names == ["TARN T18, 0, 91", "$x^2$, 2555, none, no failure"]


def test_no_ink_of_the_page_is_left_that_would_be_black_here() -> None:
    worse = rel.draw(rel.compare(rel.Rate(9, 365_000), stated=0.0035), axes())
    (marker,) = [line for line in worse.lines if line.get_label() == "rate"]
    assert marker.get_color() == "#a3301a"
    (plain,) = [line for line in rel.draw(rel.Rate(4, 365_000), axes()).lines if line.get_label() == "rate"]
    assert plain.get_markerfacecolor() == "white"


def test_nothing_to_draw_is_still_axes() -> None:
    nobody = rel.risk_table([], [], [])
    for result in (rel.kaplan_meier(nobody), rel.cumulative_incidence(nobody), rel.hazard(nobody)):
        assert not rel.draw(result, axes()).lines
    assert labels(rel.draw(rel.Rate(0, 0), axes())) >= {"limits"}


def test_what_has_no_drawing_is_refused_with_what_has() -> None:
    with pytest.raises(rel.DriveyearsError, match=r"What is of type dict has no drawing; give a curve, "):
        rel.draw({}, axes())  # type: ignore[arg-type]  # that it is refused is what is tested
    with pytest.raises(rel.DriveyearsError, match="A Rate is drawn without a curve; give `curve` with a W"):
        rel.draw(rel.Rate(1, 10), axes(), curve=rel.kaplan_meier(TABLE))


def test_a_refused_fit_says_why_there_is_no_line() -> None:
    refused = rel.weibull(rel.risk_table([0], [5], ["failed"]))
    with pytest.raises(rel.DriveyearsError, match=r"There is no line to draw\. No Weibull fit: 1 failure\. "):
        rel.draw(refused, axes())


def test_without_axes_a_notebook_gets_some_and_nothing_is_loaded_before(tmp_path: Path) -> None:
    code = (
        "import sys, reliability as rel; rate = rel.Rate(4, 365_000); before = 'matplotlib' in sys.modules; "
        "ax = rel.draw(rate); ax.figure.savefig('rate.svg'); "
        "import matplotlib.pyplot as plt; print(before, plt.gca() is ax)"
    )
    assert fresh_python("-c", code, folder=tmp_path).split() == ["False", "True"]
    assert (tmp_path / "rate.svg").stat().st_size > 0
