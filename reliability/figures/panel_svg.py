"""A panel as SVG to set into a page: in the page's own ink and font, without an id of another figure."""

from __future__ import annotations

import html
from dataclasses import dataclass
from typing import TYPE_CHECKING

from reliability.figures.inks import FAINT
from reliability.figures.panel import Area, Beside, Dot, GoesOn, Line, Panel, Written

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from reliability.figures.panel import Mark, Scale

_POINTS = 72  # per inch
_FONT = 9.0
_LETTER = 0.58 * _FONT  # width of a letter in most fonts, on the wide side
_LINE = 1.2 * _FONT
_TICK = 3.0
_GAP = 4.0
_HAIR = 0.6
_DASHES = {"solid": "", "dotted": ' stroke-dasharray="1 2"', "dashed": ' stroke-dasharray="5.2 3.2"'}
_KEY = 6.0
_ARROW = 3.5


@dataclass(frozen=True, slots=True)
class _Frame:
    """Where the scales lie on the page, in points from its upper left corner."""

    left: float
    right: float
    top: float
    bottom: float
    panel: Panel

    def x(self, value: float) -> float:
        scale = self.panel.across
        return self.left + (value - scale.low) / (scale.high - scale.low) * (self.right - self.left)

    def y(self, value: float) -> float:
        scale = self.panel.up
        return self.bottom - (value - scale.low) / (scale.high - scale.low) * (self.bottom - self.top)

    def path(self, x: Iterable[float], y: Iterable[float]) -> str:
        points = [f"{_n(self.x(a))} {_n(self.y(b))}" for a, b in zip(x, y, strict=True)]
        return "M" + "L".join(points)


def panel_svg(panel: Panel, name: str, *, title: str, description: str) -> str:
    """Give a panel as text. The same panel gives the same bytes, and every text in it is escaped.

    name  letters, digits and hyphens, unique in the page; all ids start with it
    """
    width, height = (_POINTS * inches for inches in panel.size)
    frame = _frame(panel, width, height)
    drawn = [*_scale_up(frame), *_scale_across(frame), *(_mark(frame, mark) for mark in panel.marks)]
    return (
        f'<svg role="img" aria-labelledby="{name}-title {name}-description" '
        f'width="{width:g}pt" height="{height:g}pt" viewBox="0 0 {width:g} {height:g}">'
        f'<title id="{name}-title">{html.escape(title)}</title>'
        f'<desc id="{name}-description">{html.escape(description)}</desc>'
        f'<g fill="none" stroke="currentColor" font-size="{_FONT:g}">{"".join(drawn)}</g></svg>'
    )


def _frame(panel: Panel, width: float, height: float) -> _Frame:
    """Leave room for what is written around the frame."""
    beside = max((len(mark.text) for mark in panel.marks if isinstance(mark, Beside)), default=0)
    above = any(isinstance(mark, Written | GoesOn) for mark in panel.marks)
    lines = 1 + max((text.count("\n") for _, text in panel.across.ticks), default=0)
    return _Frame(
        left=_room(panel.up) + _TICK + _GAP,
        right=width - (beside * _LETTER + _KEY + 3 * _GAP if beside else 2 * _GAP),
        top=_LINE + _GAP if above else 1.5 * _GAP,
        bottom=height - _TICK - _GAP - _LINE * (lines + bool(panel.label)),
        panel=panel,
    )


def _room(scale: Scale) -> float:
    return _LETTER * max((len(text) for _, text in scale.ticks), default=0)


def _scale_up(frame: _Frame) -> Iterator[str]:
    """The scale on the left, with a faint line across at each tick."""
    yield _line(frame.left, frame.top, frame.left, frame.bottom)
    for value, text in frame.panel.up.ticks:
        y = frame.y(value)
        yield _line(frame.left, y, frame.right, y, f' stroke-opacity="{FAINT}"')
        yield _line(frame.left - _TICK, y, frame.left, y)
        yield _text(frame.left - _TICK - _GAP / 2, y + _FONT / 3, text, "end")


def _scale_across(frame: _Frame) -> Iterator[str]:
    """The scale at the bottom, and its label below."""
    yield _line(frame.left, frame.bottom, frame.right, frame.bottom)
    under = frame.bottom + _TICK + _LINE
    lines = 1
    for value, text in frame.panel.across.ticks:
        x = frame.x(value)
        yield _line(x, frame.bottom, x, frame.bottom + _TICK)
        for number, part in enumerate(text.split("\n")):
            yield _text(x, under + number * _LINE, part, "middle")
            lines = max(lines, number + 1)
    if frame.panel.label:
        yield _text((frame.left + frame.right) / 2, under + lines * _LINE, frame.panel.label, "middle")


def _mark(frame: _Frame, mark: Mark) -> str:
    match mark:
        case Line():
            return (
                f'<path d="{frame.path(mark.x, mark.y)}" stroke-width="{mark.width:g}"{_DASHES[mark.dash]}/>'
            )
        case Area():
            around = frame.path([*mark.x, *reversed(mark.x)], [*mark.low, *reversed(mark.high)])
            return f'<path d="{around}Z" fill="currentColor" fill-opacity="{mark.opacity:g}" stroke="none"/>'
        case Dot():
            place = f'cx="{_n(frame.x(mark.x))}" cy="{_n(frame.y(mark.y))}"'
            return f'<circle {place} r="{mark.size / 2:g}" fill="currentColor" stroke="none"/>'
        case GoesOn():
            x, y = frame.x(mark.x), frame.y(mark.y)
            corners = ((x - _ARROW, y + _ARROW), (x, y), (x + _ARROW, y + _ARROW))
            path = "L".join(f"{_n(a)} {_n(b)}" for a, b in corners)
            return f'<path d="M{path}" stroke-width="1.2"/>'
        case Written():
            return _text(frame.x(mark.x), frame.y(mark.y) - _GAP, mark.text, "middle")
        case Beside():
            return _beside(frame, mark)


def _beside(frame: _Frame, mark: Beside) -> str:
    y = frame.bottom - mark.height * (frame.bottom - frame.top)
    x = frame.right + _GAP
    return (
        f'<rect x="{_n(x)}" y="{_n(y - _KEY / 2)}" width="{_KEY:g}" height="{_KEY:g}" fill="currentColor" '
        f'fill-opacity="{mark.opacity:g}" stroke="none"/>'
        + _text(x + _KEY + _GAP, y + _FONT / 3, mark.text, "start")
    )


def _line(x1: float, y1: float, x2: float, y2: float, more: str = "") -> str:
    return f'<path d="M{_n(x1)} {_n(y1)}L{_n(x2)} {_n(y2)}" stroke-width="{_HAIR:g}"{more}/>'


def _text(x: float, y: float, text: str, anchor: str) -> str:
    return (
        f'<text x="{_n(x)}" y="{_n(y)}" text-anchor="{anchor}" fill="currentColor" stroke="none">'
        f"{html.escape(text)}</text>"
    )


def _n(value: float) -> str:
    """A place in points, to a hundredth."""
    return f"{round(value, 2):g}"
