"""Frozen dataclasses from what JSON holds; a fault is told with its place.

This is for what programs write, and costs next to nothing to load. What people write deserves more, as in `mapping.py`:
every fault, and what was meant.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import MISSING, fields, is_dataclass
from functools import cache, partial
from types import UnionType
from typing import Any, NoReturn, get_args, get_origin, get_type_hints

Reader = Callable[[Any], Any]


class MisshapenError(ValueError):
    """What is wrong, and where: `$.months['2026-01'].stays`."""

    def __init__(self, fault: str, place: str = "") -> None:
        """Keep both, so that each level on the way out can say where it is."""
        self.fault, self.place = fault, place
        super().__init__(f"{fault} @ ${place}")

    def inside(self, step: str) -> MisshapenError:
        """The same fault as seen from one level further out."""
        return MisshapenError(self.fault, step + self.place)


@cache
def reader(kind: Any) -> Reader:  # noqa: ANN401  (a type in any spelling)
    """What makes a value of a type: a dataclass, a dict by text, a list, text, a number, any of these or None.

    It raises MisshapenError for the first value of another type. Names that a dataclass does not know are passed over.
    """
    if isinstance(kind, type) and is_dataclass(kind):
        types = get_type_hints(kind)
        own = [(each.name, reader(types[each.name])) for each in fields(kind)]
        needed = {each.name for each in fields(kind) if each.default is each.default_factory is MISSING}
        return partial(_record, kind, own, needed)
    if isinstance(kind, UnionType):
        (inner,) = (reader(each) for each in get_args(kind) if each is not type(None))
        return lambda value: None if value is None else inner(value)
    many = {dict: _by_name, list: _in_order}.get(get_origin(kind))
    if many:
        return partial(many, reader(get_args(kind)[-1]))
    return partial(_plain, (int, float) if kind is float else kind)


def _plain(kind: Any, value: object) -> object:  # noqa: ANN401  (the same)
    return value if isinstance(value, kind) else _refuse(value)


def _by_name(inner: Reader, value: object) -> dict[str, Any]:
    made = {}
    for name, each in value.items() if isinstance(value, dict) else _refuse(value):
        try:
            made[name] = inner(each)
        except MisshapenError as error:
            raise error.inside(f"[{name!r}]") from None
    return made


def _in_order(inner: Reader, value: object) -> list[Any]:
    return [inner(each) for each in (value if isinstance(value, list) else _refuse(value))]


def _record(kind: type, own: list[tuple[str, Reader]], needed: set[str], value: object) -> object:
    table = value if isinstance(value, dict) else _refuse(value)
    made = {}
    for name, inner in own:
        if name not in table:
            continue
        try:
            made[name] = inner(table[name])
        except MisshapenError as error:
            raise error.inside(f".{name}") from None
    missing = needed - made.keys()
    if missing:
        raise MisshapenError(f"{', '.join(sorted(missing))} missing")
    return kind(**made)


def _refuse(value: object) -> NoReturn:
    raise MisshapenError(f"unexpected {value!r:.40}")
