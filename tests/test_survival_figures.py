"""Survival, its fitted line and what became of the drives, by the numbers that are drawn."""

from __future__ import annotations

import re
from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np
import pytest

from reliability.figures import incidence_by_age, panel_svg, survival_by_age
from reliability.figures.panel import Area, Beside, Line, Panel, Scale
from reliability.risk_table import risk_table
from reliability.survival.cumulative_incidence import cumulative_incidence
from reliability.survival.kaplan_meier import kaplan_meier
from reliability.survival.weibull import weibull
from reliability.survival.weibull_life import Weibull

if TYPE_CHECKING:
    from reliability.curve import Curve
    from reliability.risk_table import RiskTable

TWENTY = risk_table([0] * 20, [365] * 2 + [730] * 2 + [1095] * 16, ["failed"] * 4 + ["in service"] * 16)
LATE = risk_table([400] * 20, [800, 900, 1000] + [1095] * 17, ["failed"] * 3 + ["in service"] * 17)


def stairs(panel: Panel, name: str) -> list[tuple[float, float]]:
    (line,) = panel.named(name)
    assert isinstance(line, Line)
    return list(zip(line.x, line.y, strict=True))


def area(panel: Panel, name: str) -> Area:
    (found,) = panel.named(name)
    assert isinstance(found, Area)
    return found


def drawn(table: RiskTable, *, fitted: bool = True) -> Panel:
    fit = weibull(table)
    assert isinstance(fit, Weibull)
    return survival_by_age(curve(table), fit if fitted else None, [(365, 20), (730, 18)])


def curve(table: RiskTable) -> Curve:
    return kaplan_meier(table)


def test_survival_is_stairs_that_fall_where_drives_fail() -> None:
    # by hand: 18/20 after a year, then 16/18 of that
    ages, shares = zip(*stairs(drawn(TWENTY), "survival"), strict=True)
    assert ages == (0, 1, 1, 2, 2, 3)
    assert shares == pytest.approx((1, 1, 0.9, 0.9, 0.8, 0.8))


def test_limits_begin_with_the_first_failure_and_are_those_of_the_curve() -> None:
    edge = area(drawn(TWENTY), "limits")
    assert (min(edge.x), max(edge.x)) == (1, 3)
    assert min(edge.low) == pytest.approx(float(curve(TWENTY).low[1]))
    assert max(edge.high) == pytest.approx(float(curve(TWENTY).high[0]))


def test_the_fitted_line_is_given_alive_where_the_curve_starts_and_ends_where_it_ends() -> None:
    fit, line = weibull(LATE), stairs(drawn(LATE), "fit")
    assert isinstance(fit, Weibull)
    assert line[0] == pytest.approx((400 / 365, 1))
    assert line[-1] == pytest.approx((3, float(fit.survival(1095) / fit.survival(400))))


def test_without_a_fit_or_ten_at_risk_there_is_no_line() -> None:
    five = risk_table([0] * 5, [365, 730, 1095, 1095, 1095], ["failed"] * 2 + ["in service"] * 3)
    for panel in (drawn(TWENTY, fitted=False), drawn(five)):
        assert panel.named("survival")
        assert not panel.named("fit")


def test_the_curve_is_not_drawn_where_fewer_than_ten_are_at_risk() -> None:
    thinning = risk_table(
        [0] * 20, [100] * 2 + [300] * 9 + [700] * 9, ["failed"] * 2 + ["retired"] * 9 + ["failed"] * 9
    )
    ages, shares = zip(*stairs(drawn(thinning), "survival"), strict=True)
    assert ages == pytest.approx((0, 100 / 365, 100 / 365, 300 / 365))
    assert shares == pytest.approx((1, 1, 0.9, 0.9))


def test_a_survival_of_nothing_has_no_limits() -> None:
    figure = drawn(risk_table([0] * 12, [365] * 2 + [730] * 10, ["failed"] * 12))
    assert stairs(figure, "survival")[-1] == (2.0, 0.0)
    assert max(area(figure, "limits").x) == 2
    everyone = survival_by_age(curve(risk_table([0] * 12, [365] * 12, ["failed"] * 12)), None, [])
    assert stairs(everyone, "survival")[-1] == (1.0, 0.0)
    assert not everyone.named("limits")
    assert (everyone.up.low, everyone.up.high) == (0, 1)


def test_numbers_at_risk_stand_under_their_ages() -> None:
    panel = drawn(TWENTY)
    assert panel.across == Scale(0, 3, [(0, "0\nat risk"), (1, "1\n20"), (2, "2\n18")])
    assert panel.label == "age in years"


def test_a_young_fleet_is_told_in_months() -> None:
    young = risk_table([0] * 20, [50] * 2 + [200] * 18, ["failed"] * 2 + ["in service"] * 18)
    panel = survival_by_age(curve(young), None, [(91, 18), (182, 18)])
    assert panel.label == "age in months"
    assert [text for _, text in panel.across.ticks] == ["0\nat risk", "3\n18", "6\n18"]


def test_without_a_life_there_are_scales() -> None:
    nobody = risk_table([], [], [])
    for panel in (survival_by_age(curve(nobody)), incidence_by_age(cumulative_incidence(nobody))):
        assert not panel.marks
        assert panel_svg(panel, "nobody", title="t", description="d").count("<text") >= 2


def test_ways_to_leave_lie_on_each_other_up_to_the_share_that_left() -> None:
    ends = ["failed"] * 2 + ["retired"] * 4 + ["vanished"] * 1 + ["in service"] * 13
    shares = cumulative_incidence(risk_table([0] * 20, [365] * 2 + [500] * 5 + [730] * 13, ends))
    figure = incidence_by_age(shares, [365, 730])
    tops = [max(area(figure, name).high) for name in ("failed", "retired", "vanished")]
    assert tops == pytest.approx([2 / 20, 6 / 20, 7 / 20])  # nobody entered late or left unseen: plain shares
    texts = [mark.text for mark in figure.marks if isinstance(mark, Beside)]
    assert texts == ["failed 10 %", "retired 20 %", "vanished 5.0 %"]


def test_names_beside_the_stack_keep_apart() -> None:
    shares = cumulative_incidence(risk_table([0] * 20, [365] + [730] * 19, ["failed"] + ["in service"] * 19))
    heights = [mark.height for mark in incidence_by_age(shares, [365]).marks if isinstance(mark, Beside)]
    assert all(later - sooner >= 0.14 for sooner, later in pairwise(heights))


def test_thousands_of_steps_make_a_light_drawing_of_the_same_heights() -> None:
    ages = np.arange(1, 3001)
    table = risk_table([0] * 9000, np.repeat(ages, 3), ["failed", "retired", "vanished"] * 3000)
    figure = survival_by_age(curve(table), None, [])
    points = stairs(figure, "survival")
    assert len(points) < 1000
    assert points[-1][1] == pytest.approx(float(curve(table).survival[curve(table).shown - 1]))
    heavy = incidence_by_age(cumulative_incidence(table), [365])
    for name, each in (("km", figure), ("cif", heavy)):
        assert len(panel_svg(each, name, title="t", description="d")) < 90_000


def test_the_drawings_are_the_same_bytes_each_time_and_in_the_inks_of_the_page() -> None:
    texts = [panel_svg(drawn(TWENTY), "km", title="t", description="d") for _ in range(2)]
    assert texts[0] == texts[1]
    assert "http" not in texts[0]
    assert not re.search(r"#0[123]0[123]0[123]", texts[0])
