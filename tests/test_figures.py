from __future__ import annotations

import re
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np
import pytest

from reliability.comparer.stated import Verdict
from reliability.figures import AgainstStated, against_stated, svg
from reliability.figures.inks import ALARM, INK, PAPER
from reliability.interval import Interval
from reliability.rate import Rate
from reliability.units import DAYS_PER_YEAR

if TYPE_CHECKING:
    from matplotlib.figure import Figure
    from matplotlib.lines import Line2D


def in_years(failures: int, drive_years: int) -> Rate:
    return Rate(failures, drive_years * DAYS_PER_YEAR)


def lines(figure: Figure, label: str) -> list[Line2D]:
    (axes,) = figure.axes
    return [line for line in axes.lines if line.get_label() == label]


def points(figure: Figure, label: str) -> list[list[tuple[float, float]]]:
    return [[(float(x), float(y)) for x, y in np.asarray(line.get_xydata())] for line in lines(figure, label)]


def texts(figure: Figure) -> list[str]:
    (axes,) = figure.axes
    written = [text.get_text() for text in axes.texts]
    return written + [label.get_text() for label in axes.get_yticklabels()]


WORSE = AgainstStated("Model A", in_years(10, 1000), 0.0035, Verdict.WORSE)
CONSISTENT = AgainstStated("Model B", in_years(4, 1000), 0.004, Verdict.CONSISTENT)
NO_FAILURE = AgainstStated("Model C", in_years(0, 30), 0.01, Verdict.TOO_LITTLE)
NO_EXPOSURE = AgainstStated("Model D", Rate(0, 0), 0.01, Verdict.TOO_LITTLE)
NOT_STATED = AgainstStated("Model E", in_years(3, 100), None, None)


def test_a_row_shows_the_rate_its_limits_and_what_is_stated() -> None:
    figure = against_stated([WORSE, CONSISTENT], level=0.95, ratio=2.0)
    assert points(figure, "rate")[0] == [(0.01, 0.0)]
    # limits for 10 failures: 4.79539 and 18.39036, Garwood's table
    (low, _), (high, _) = points(figure, "limits")[0]
    assert (low, high) == pytest.approx((0.00479539, 0.01839036))
    assert points(figure, "stated")[0] == [(0.0035, -0.3), (0.0035, 0.3)]
    assert points(figure, "times stated")[0] == [(0.007, -0.3), (0.007, 0.3)]


def test_limits_valid_at_every_look_go_thinly_beyond_those_of_a_single_one() -> None:
    running = Interval(0.0033, 0.022)
    figure = against_stated([replace(WORSE, running=running), CONSISTENT], level=0.95, ratio=2.0)
    ((low, _), (high, _)) = points(figure, "limits at every look")[0]
    assert (low, high) == (0.0033, 0.022)
    assert len(points(figure, "limits at every look")) == 1
    (thin,), thick = lines(figure, "limits at every look"), lines(figure, "limits")[0]
    assert thin.get_linewidth() < thick.get_linewidth()


def test_where_they_leave_the_scale_there_is_an_arrow() -> None:
    row = replace(CONSISTENT, running=Interval(0.00001, 90.0))
    figure = against_stated([row], level=0.95, ratio=2.0)
    edges = figure.axes[0].get_xlim()
    assert sorted(marker[0][0] for marker in points(figure, "goes on")) == sorted(edges)


def test_a_verdict_is_told_by_shape_and_only_worse_by_colour_too() -> None:
    figure = against_stated([WORSE, CONSISTENT, NOT_STATED], level=0.95, ratio=2.0)
    shown = [(line.get_marker(), line.get_color()) for line in lines(figure, "rate")]
    assert shown == [("^", ALARM), ("o", INK), ("s", INK)]
    assert [line.get_markerfacecolor() for line in lines(figure, "rate")] == [ALARM, INK, PAPER]


def test_no_failure_is_a_bar_from_the_edge_without_a_marker() -> None:
    figure = against_stated([CONSISTENT, NO_FAILURE], level=0.95, ratio=2.0)
    low, _ = figure.axes[0].get_xlim()
    assert len(points(figure, "rate")) == 1
    (start, _), (end, place) = points(figure, "limits")[1]
    assert (start, place) == (low, 1.0)
    assert end == pytest.approx(3.68888 / 30, rel=1e-5)  # Garwood's table, no failure
    assert points(figure, "goes on") == [[(low, 1.0)]]
    assert "Model C, no failure" in texts(figure)


def test_no_exposure_goes_on_to_both_sides_and_is_called_so() -> None:
    figure = against_stated([CONSISTENT, NO_EXPOSURE], level=0.95, ratio=2.0)
    low, high = figure.axes[0].get_xlim()
    assert points(figure, "goes on") == [[(low, 1.0)], [(high, 1.0)]]
    assert lines(figure, "limits")[1].get_linestyle() == ":"
    assert "Model D, no exposure" in texts(figure)


def test_limits_beyond_the_scale_end_at_its_edge_in_an_arrow() -> None:
    hardly_seen = AgainstStated("Model F", in_years(0, 1), 0.0035, Verdict.TOO_LITTLE)
    figure = against_stated([hardly_seen], level=0.95, ratio=2.0)
    low, high = figure.axes[0].get_xlim()
    assert high < 3.68
    assert points(figure, "limits") == [[(low, 0.0), (high, 0.0)]]
    assert points(figure, "goes on") == [[(low, 0.0)], [(high, 0.0)]]


@pytest.mark.parametrize("names", ["beside", "above"])
def test_names_are_text_and_not_formulas_and_long_ones_are_cut(names: str) -> None:
    rows = [AgainstStated(name, in_years(1, 10), None, None) for name in ("$x^2$", "N" * 40)]
    figure = against_stated(rows, level=0.95, ratio=2.0, names="above" if names == "above" else "beside")
    assert "$x^2$" in texts(figure)
    assert "N" * 25 + "…" in texts(figure)
    assert "$x^2$" in svg(figure, "names", title="Names", description="Two.")


def drawn(name: str = "one") -> str:
    figure = against_stated([WORSE, CONSISTENT, NO_FAILURE, NOT_STATED], level=0.95, ratio=2.0)
    return svg(figure, name, title="A <b> & 'c'", description='{{7*7}} "d"')


def test_a_drawing_is_the_same_bytes_each_time_and_asks_for_nothing() -> None:
    assert drawn() == drawn()
    assert "http" not in drawn()
    assert "<style" not in drawn()
    assert "<?xml" not in drawn()


def test_the_inks_are_those_of_the_page() -> None:
    assert not re.search(r"#0[123]0[123]0[123]", drawn())
    assert "currentColor" in drawn()
    assert "var(--worse)" in drawn()
    assert "var(--paper)" in drawn()


def test_every_id_is_the_figures_own_and_every_reference_has_one() -> None:
    ids = re.findall(r'\bid="([^"]*)"', drawn())
    used = re.findall(r'href="#([^"]*)"|url\(#([^)]*)\)', drawn())
    assert len(ids) == len(set(ids))
    assert all(each.startswith("one-") for each in ids)
    assert {first or second for first, second in used} <= set(ids)
    assert not set(ids) & set(re.findall(r'\bid="([^"]*)"', drawn("two")))


def test_title_and_description_come_first_and_are_escaped() -> None:
    assert drawn().startswith('<svg role="img" aria-labelledby="one-title one-description" ')
    assert '<title id="one-title">A &lt;b&gt; &amp; &#x27;c&#x27;</title>' in drawn()
    assert '<desc id="one-description">{{7*7}} &quot;d&quot;</desc>' in drawn()


def test_letters_that_our_font_lacks_stay_text() -> None:
    row = AgainstStated("型号 丙", in_years(1, 10), None, None)
    assert "型号 丙" in svg(against_stated([row], level=0.95, ratio=2.0), "far", title="t", description="d")
