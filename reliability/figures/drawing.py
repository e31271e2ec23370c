"""Any result to axes, for people at a keyboard."""

from __future__ import annotations

from typing import TYPE_CHECKING, TypeAlias

import numpy as np

from reliability.comparer.stated import Comparison
from reliability.curve import Curve
from reliability.errors import QuestionError
from reliability.figures.ages import hazard_by_age
from reliability.figures.frame import quiet
from reliability.figures.incidence import incidence_by_age
from reliability.figures.inks import ALARM, INK, PAPER
from reliability.figures.panel_axes import onto, scale_up
from reliability.figures.stated_rows import AgainstStated, draw_rows
from reliability.figures.survival import share_scale, survival_by_age
from reliability.loaders.exposure import Exposure
from reliability.rate import Rate
from reliability.survival.cumulative_incidence import CumulativeIncidence
from reliability.survival.hazard import Hazard
from reliability.survival.weibull_life import Weibull, WeibullRefused
from reliability.units import DAYS_PER_YEAR

if TYPE_CHECKING:
    from matplotlib.axes import Axes

Drawable: TypeAlias = Curve | CumulativeIncidence | Weibull | Hazard | Rate | Exposure | Comparison

_SIZE = (6.4, 3.6)  # inches
_ROW = 0.45  # inches of one row
_LEVEL = 0.95  # of rates that have no level of their own
_TWICE = 2.0  # the multiple of a stated rate that is marked with it
_COLOURS = {ALARM: "#a3301a", PAPER: "white"}  # no page turns the inks into its own here
_POINTS = 200


def draw(result: Drawable | WeibullRefused, ax: Axes | None = None, *, curve: Curve | None = None) -> Axes:
    """Draw a result.

    result   a curve, shares by age, a Weibull life, rates by age band, one rate, rates of cells, a comparison
    ax       axes to draw onto; by default new ones, which a notebook shows
    curve    for a Weibull life: the curve of the same lives, over which it belongs
    returns  the axes, to add to or to save: `.figure.savefig(...)`
    raises   `QuestionError` for anything else, and for a refused fit, with its reason

    Ages are in years, and a curve is drawn where 10 or more are at risk. Without a curve a Weibull life is
    drawn up to the largest of its quantiles, though it tells of no age at which no drive was seen. A rate
    without a failure is a bar from the left edge.

    >>> from reliability.rate import Rate
    >>> from matplotlib.figure import Figure
    >>> draw(Rate(4, 365_000), Figure().subplots()).get_xlabel()
    'failures per 100 drive-years'
    """
    if isinstance(result, WeibullRefused):
        raise QuestionError(f"There is no line to draw. {result.sentence}")
    if not isinstance(result, Drawable):
        raise QuestionError(
            f"What is of type {type(result).__name__} has no drawing; give a curve, cumulative incidence, "
            "a Weibull life, a hazard, a rate, an exposure or a comparison."
        )
    if curve is not None and not isinstance(result, Weibull):
        raise QuestionError(
            f"A {type(result).__name__} is drawn without a curve; give `curve` with a Weibull life only."
        )
    rows = _rows(result)
    axes = _new_axes(len(rows)) if ax is None else ax
    if rows:
        level, ratio = _LEVEL, _TWICE
        if isinstance(result, Comparison):
            level, ratio = result.interval.level, result.ratio
        draw_rows(axes, rows, level=level, ratio=ratio)
    else:
        quiet(axes, "y")
        _draw_by_age(axes, result, curve)
    _recolour(axes)
    return axes


def _draw_by_age(axes: Axes, result: Drawable, curve: Curve | None) -> None:
    if isinstance(result, Curve):
        onto(axes, survival_by_age(result))
        axes.set_ylabel(result.label, color=INK)
    elif isinstance(result, Weibull):
        _draw_life(axes, result, curve)
    elif isinstance(result, CumulativeIncidence):
        onto(axes, incidence_by_age(result))
        axes.set_ylabel("share of the drives", color=INK)
    elif isinstance(result, Hazard):
        rates = [band.rate for band in result.bands]
        bands = [(band.from_days, band.to_days) for band in result.bands]
        onto(axes, hazard_by_age(bands, rates, stated=None, level=result.level, ratio=_TWICE))
        axes.set_ylabel("failures per 100 drive-years", color=INK)
    axes.set_xlim(left=0)
    axes.set_xlabel("age in years", color=INK)


def _draw_life(axes: Axes, life: Weibull, curve: Curve | None) -> None:
    if curve is not None:
        onto(axes, survival_by_age(curve, life))
        axes.set_ylabel(curve.label, color=INK)
        return
    ages = np.linspace(0, max((each.age.value for each in life.quantiles), default=life.scale.value), _POINTS)
    survival = life.survival(ages)
    axes.plot(ages / DAYS_PER_YEAR, survival, color=INK, lw=1.3, ls=(0, (4, 2.5)), label="fit")
    scale_up(axes, share_scale(float(survival[-1])))
    axes.set_ylabel("Survival", color=INK)


def _rows(result: Drawable) -> list[AgainstStated]:
    """What is drawn in rows rather than by age."""
    if isinstance(result, Rate):
        return [AgainstStated("rate", result, None, None)]
    if isinstance(result, Comparison):
        exact = result.rate.interval(result.interval.level)
        wider = None if result.interval == exact else result.interval
        return [AgainstStated(result.verdict.value, result.rate, result.stated, result.verdict, wider)]
    if isinstance(result, Exposure):
        cells = result.cells or (result.total,)
        return [AgainstStated(_name(tuple(cell.labels.values())), cell.rate, None, None) for cell in cells]
    return []


def _name(labels: tuple[object, ...]) -> str:
    return ", ".join("none" if label is None else str(label) for label in labels) or "all"


def _new_axes(rows: int) -> Axes:
    import matplotlib.pyplot as plt  # noqa: PLC0415  (a notebook shows what pyplot made; given axes need none of it)

    width, height = _SIZE
    if rows:
        height = _ROW * (rows + 2)
    return plt.figure(figsize=(width, height), layout="constrained").subplots()


def _recolour(axes: Axes) -> None:
    for line in axes.lines:
        line.set_color(_COLOURS.get(str(line.get_color()), line.get_color()))
        face = str(line.get_markerfacecolor())
        line.set_markerfacecolor(_COLOURS.get(face, line.get_markerfacecolor()))
