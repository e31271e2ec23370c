"""A small figure as data: a frame with two scales, and marks on it. It is drawn as SVG or onto axes, alike."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal, TypeAlias

if TYPE_CHECKING:
    from collections.abc import Sequence

SIZE = (3.75, 2.2)  # inches of a small multiple: it fits a phone
HIGHER = (3.75, 2.5)  # with numbers at risk below

Dash: TypeAlias = Literal["solid", "dotted", "dashed"]


@dataclass(frozen=True, slots=True)
class Line:
    """A line through points."""

    name: str
    x: Sequence[float]
    y: Sequence[float]
    width: float  # points
    dash: Dash = "solid"


@dataclass(frozen=True, slots=True)
class Area:
    """What lies between two heights."""

    name: str
    x: Sequence[float]
    low: Sequence[float]
    high: Sequence[float]
    opacity: float


@dataclass(frozen=True, slots=True)
class Dot:
    """A filled marker."""

    name: str
    x: float
    y: float
    size: float  # points across


@dataclass(frozen=True, slots=True)
class GoesOn:
    """An open arrow at the upper edge: something goes on beyond it."""

    x: float
    y: float
    name: str = "goes on"


@dataclass(frozen=True, slots=True)
class Written:
    """An estimate that lies beyond the upper edge, written above it."""

    x: float
    y: float
    text: str
    name: str = "off the scale"


@dataclass(frozen=True, slots=True)
class Beside:
    """A name beside the frame, at a part of its height, with the tone of the area that it names."""

    name: str
    height: float
    opacity: float
    text: str


Mark: TypeAlias = Line | Area | Dot | GoesOn | Written | Beside


@dataclass(frozen=True, slots=True)
class Scale:
    """A linear scale, and the places along it that are written; a text may have a second line."""

    low: float
    high: float
    ticks: Sequence[tuple[float, str]]


@dataclass(frozen=True, slots=True)
class Panel:
    """A figure: marks from the back to the front."""

    across: Scale
    up: Scale
    marks: tuple[Mark, ...]
    label: str = ""  # of the scale across
    size: tuple[float, float] = SIZE

    def named(self, name: str) -> list[Mark]:
        """Give the marks of one name."""
        return [mark for mark in self.marks if mark.name == name]
