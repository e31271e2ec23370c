"""Small multiples of rates, by the marks that are on them; and any panel as text for a page."""

from __future__ import annotations

import re
from typing import Any

import pytest
from matplotlib.figure import Figure

from reliability.figures import hazard_by_age, panel_svg, rates_by_quarter
from reliability.figures.panel import Area, Beside, Dot, GoesOn, Line, Panel, Scale, Written
from reliability.figures.panel_axes import onto
from reliability.rate import Rate
from reliability.units import DAYS_PER_YEAR

EVERY_KIND = Panel(
    Scale(0, 10, [(0, "0\nat risk"), (5, "5\n20")]),
    Scale(0, 1, [(0, "0 %"), (0.5, "50 %")]),
    (
        Area("area", [0, 10], [0, 0], [0.5, 1], 0.2),
        Line("line", [0, 10], [0, 1], 1.5, "dashed"),
        Dot("dot", 5, 0.5, 4),
        GoesOn(5, 1),
        Written(5, 1, "130 %"),
        Beside("key", 0.5, 0.4, "failed <1 %>"),
    ),
    "age & years",
)


def in_years(failures: int, drive_years: int) -> Rate:
    return Rate(failures, drive_years * DAYS_PER_YEAR)


def quarters(*rates: Rate, stated: float | None = 0.01) -> Panel:
    names = [f"Q{number}" for number in range(1, len(rates) + 1)]
    return rates_by_quarter(names, rates, stated=stated, level=0.95, ratio=2.0)


def places(panel: Panel, name: str) -> list[Any]:
    marks: list[Any] = panel.named(name)
    return [(mark.x, mark.y) for mark in marks]


def test_a_quarter_shows_its_rate_and_a_quarter_without_exposure_nothing() -> None:
    panel = quarters(in_years(3, 300), Rate(0, 0), in_years(0, 300))
    assert places(panel, "rate") == [(0, 0.01), (2, 0.0)]
    assert [x for x, _ in places(panel, "limits")] == [(0, 0), (2, 2)]
    assert places(panel, "stated") == [((-0.6, 2.6), (0.01, 0.01))]
    assert places(panel, "times stated") == [((-0.6, 2.6), (0.02, 0.02))]
    assert panel.up.low == 0
    assert [text for _, text in panel.across.ticks] == ["Q1", "Q2", "Q3"]


def test_an_estimate_beyond_the_scale_is_written_at_its_edge() -> None:
    panel = quarters(in_years(1, 2), in_years(3, 300), in_years(4, 300))
    assert panel.up.high < 0.5
    (beyond,) = panel.named("off the scale")
    assert isinstance(beyond, Written)
    assert (beyond.x, beyond.y, beyond.text) == (0, panel.up.high, "50 %")
    assert [x for x, _ in places(panel, "rate")] == [1, 2]
    assert places(panel, "goes on")[0] == (0, panel.up.high)


def test_nothing_is_drawn_outside_the_scale() -> None:
    panel = quarters(
        Rate(2, 7), in_years(3, 3000), in_years(4, 3000)
    )  # the first lies beyond with its lower limit
    heights = [y for _, ys in places(panel, "limits") for y in ys]
    assert max(heights) == panel.up.high


def test_age_bands_are_steps_in_years_and_the_open_one_is_drawn_two_years_long() -> None:
    bands = [(0, 365), (365, 730), (2555, None)]
    rates = [in_years(1, 100), Rate(0, 0), in_years(2, 100)]
    panel = hazard_by_age(bands, rates, stated=None, level=0.95, ratio=2.0)
    assert places(panel, "rate") == [((0.0, 1.0), (0.01, 0.01)), ((7.0, 9.0), (0.02, 0.02))]
    assert (panel.across.low, panel.across.high, panel.label) == (0, 9, "age in years")
    assert not panel.named("stated")
    first, _ = panel.named("limits")
    assert isinstance(first, Area)
    # limits for 1 failure: 0.02532 and 5.57164, Garwood's table
    assert first.low[0] == pytest.approx(0.0002532, rel=1e-3)
    assert first.high[0] == pytest.approx(0.0557164, rel=1e-5)


def test_a_model_never_at_risk_at_a_known_age_still_has_scales() -> None:
    panel = hazard_by_age([(0, 91)], [Rate(0, 0)], stated=0.01, level=0.95, ratio=2.0)
    assert not panel.named("rate")
    assert panel.across.high > panel.across.low


def text(name: str = "one") -> str:
    return panel_svg(EVERY_KIND, name, title="A <b> & 'c'", description='{{7*7}} "d"')


def test_a_panel_is_the_same_bytes_each_time_and_asks_for_nothing() -> None:
    assert text() == text()
    assert not re.search(r"http|<style|<\?xml|#0", text())
    assert text().startswith('<svg role="img" aria-labelledby="one-title one-description" ')


def test_ids_are_the_panels_own_and_texts_are_escaped() -> None:
    ids = re.findall(r'\bid="([^"]*)"', text())
    assert ids == ["one-title", "one-description"]
    assert '<title id="one-title">A &lt;b&gt; &amp; &#x27;c&#x27;</title>' in text()
    assert ">failed &lt;1 %&gt;</text>" in text()
    assert ">age &amp; years</text>" in text()


def test_marks_lie_where_the_scales_say() -> None:
    (dot,) = re.findall(r'<circle cx="([\d.]+)" cy="([\d.]+)" r="2"', text())
    line = re.search(r'd="M([\d.]+) ([\d.]+)L([\d.]+) ([\d.]+)" stroke-width="1.5" stroke-dasharray', text())
    assert line is not None
    left, bottom, right, top = map(float, line.groups())
    assert [float(place) for place in dot] == pytest.approx([(left + right) / 2, (top + bottom) / 2])
    assert 0 < left < right < 270
    assert 0 < top < bottom < 158.4


@pytest.mark.parametrize("texts", [["0", "5"], ["0\nat risk", "5\n20"]])
def test_what_is_written_around_the_frame_is_on_the_paper(texts: list[str]) -> None:
    panel = Panel(
        Scale(0, 10, list(zip((0, 10), texts, strict=True))), EVERY_KIND.up, EVERY_KIND.marks, "age in years"
    )
    drawn = panel_svg(panel, "p", title="t", description="d")
    heights = [float(y) for y in re.findall(r'<text x="[\d.]+" y="([\d.-]+)"', drawn)]
    assert min(heights) > 8
    assert max(heights) < 158.4


def test_the_same_marks_go_onto_axes() -> None:
    axes = Figure().subplots()
    onto(axes, EVERY_KIND)
    labels = {str(artist.get_label()) for artist in (*axes.lines, *axes.collections)}
    assert labels == {"area", "line", "dot", "goes on", "key"}
    assert [each.get_text() for each in axes.texts] == ["130 %", "failed <1 %>"]
    assert axes.get_ylim() == (0, 1)
