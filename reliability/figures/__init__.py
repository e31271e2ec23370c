"""Nouns to figures: the only folder that knows matplotlib, and it does no statistics.

Every function takes nouns that know their own limits and gives a Figure that belongs to no global state.
Limits that leave a scale run to its edge and end in an open arrow; nothing unknown is drawn as if known.
The inks are odd colours that `svg` turns into the page's own, so one figure serves light, dark and print.
"""

from __future__ import annotations

from reliability.figures.ages import hazard_by_age
from reliability.figures.drawing import draw
from reliability.figures.export import svg
from reliability.figures.incidence import incidence_by_age
from reliability.figures.panel_svg import panel_svg
from reliability.figures.quarters import rates_by_quarter
from reliability.figures.ranking import ranking
from reliability.figures.stated_rows import AgainstStated, against_stated
from reliability.figures.survival import survival_by_age

__all__ = [
    "AgainstStated",
    "against_stated",
    "draw",
    "hazard_by_age",
    "incidence_by_age",
    "panel_svg",
    "ranking",
    "rates_by_quarter",
    "survival_by_age",
    "svg",
]
