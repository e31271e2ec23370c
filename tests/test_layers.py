"""The floors of the house: imports only point down, and neighbours on one floor are strangers."""

from __future__ import annotations

import ast
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

import pytest

import reliability

if TYPE_CHECKING:
    from collections.abc import Iterator

FLOORS = (
    ("digits", "errors", "spelling", "units"),
    ("gamma_quantile", "interval", "lives", "normal_deviate", "quarter"),
    ("binomial", "curve", "in_service", "poisson", "risk_table"),
    ("detection", "rate", "regression"),
    ("datasheet", "loaders", "survival"),
    ("arrays", "comparer", "planning", "signals"),
    ("forecast", "scales"),
    ("figures",),
    ("report",),
    ("cli",),
    ("__init__", "__main__"),  # the face and the door may use all
)
FLOOR = {name: floor for floor, names in enumerate(FLOORS) for name in names}
ONLY_USER = {
    "duckdb": "loaders",
    "matplotlib": "figures",
    "jinja2": "report",
    "cyclopts": "cli",
    "pyspark": "loaders",
}


class Import(NamedTuple):
    file: str
    here: str  # the layer it stands in
    there: str  # the layer, or for another package its name, that it asks for
    inside: bool  # whether that is a layer


def imports(package: Path) -> Iterator[Import]:
    """Every import in a package, those inside functions and for type checks included."""
    for file in sorted(package.rglob("*.py")):
        parts = file.relative_to(package).with_suffix("").parts
        for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
            for name in imported(node, (package.name, *parts[:-1])):
                outer, _, rest = name.partition(".")
                inside = outer == package.name
                there = rest.partition(".")[0] if inside else outer
                if inside and there not in FLOOR:  # a name that is no layer comes from the face
                    there = "__init__"
                yield Import("/".join(parts), parts[0], there, inside)


def imported(node: ast.AST, folder: tuple[str, ...]) -> Iterator[str]:
    """Full dotted names that an import statement asks for."""
    if isinstance(node, ast.Import):
        yield from (alias.name for alias in node.names)
    if isinstance(node, ast.ImportFrom):
        base = folder[: len(folder) - node.level + 1] if node.level else ()
        module = ".".join((*base, *([node.module] if node.module else [])))
        if "." in module:
            yield module
        else:  # from reliability import units: the layer is the name
            yield from (f"{module}.{alias.name}" for alias in node.names)


def faults(package: Path) -> list[str]:
    found = []
    for file, here, there, inside in imports(package):
        if inside and here != there and not FLOOR[there] < FLOOR[here]:
            found.append(
                f"{file} is on floor {FLOOR[here]} and may not import {there} on floor {FLOOR[there]}"
            )
        if not inside and ONLY_USER.get(there, here) != here:
            found.append(f"{file} imports {there}, which belongs to {ONLY_USER[there]} alone")
    return found


REAL = Path(reliability.__file__).parent


def test_imports_only_point_down() -> None:
    assert faults(REAL) == []


def test_every_file_has_a_floor() -> None:
    layers = {file.relative_to(REAL).with_suffix("").parts[0] for file in REAL.rglob("*.py")}
    assert layers - set(FLOOR) == set()


@pytest.mark.parametrize(
    ("file", "text"),
    [
        ("units.py", "from reliability.errors import StoreError"),  # a neighbour
        ("units.py", "from reliability import errors"),
        ("units.py", "import reliability.rate"),  # upwards
        ("rate.py", "def late():\n    from reliability.comparer.stated import compare"),
        ("rate.py", "if TYPE_CHECKING:\n    from reliability.survival.curve import Curve"),
        ("comparer/stated.py", "from ..planning import spares"),  # relative, and a neighbour
        ("comparer/stated.py", "from .. import planning"),
        ("cli/rates.py", "import reliability"),  # the face
        ("cli/rates.py", "from reliability import Rate"),
        ("survival/curve.py", "import duckdb"),
        ("report/page.py", "from matplotlib.figure import Figure"),
        ("scales.py", "import matplotlib"),  # what part of the numbers is shown is said without drawing
        ("survival/curve.py", "def draw():\n    import matplotlib.pyplot"),
        ("figures/survival.py", "from reliability.report.contents import Contents"),
    ],
)
def test_a_wrong_import_is_found(tmp_path: Path, file: str, text: str) -> None:
    path = tmp_path / "reliability" / file
    path.parent.mkdir(parents=True)
    path.write_text(text)
    assert len(faults(tmp_path / "reliability")) == 1


@pytest.mark.parametrize(
    ("file", "text"),
    [
        ("rate.py", "from reliability import units\nimport numpy"),
        ("comparer/stated.py", "from reliability.comparer.vanished import bounds"),  # the same folder
        ("comparer/stated.py", "from .vanished import bounds\nfrom . import running"),
        ("cli/rates.py", "from reliability.report.page import page"),
        ("loaders/engine.py", "import duckdb"),
        ("figures/frame.py", "from matplotlib.figure import Figure"),
        (
            "figures/survival.py",
            "from reliability.figures.frame import quiet\nfrom reliability.curve import Curve",
        ),
        ("__init__.py", "from reliability.rate import Rate"),
    ],
)
def test_a_right_import_is_left_alone(tmp_path: Path, file: str, text: str) -> None:
    path = tmp_path / "reliability" / file
    path.parent.mkdir(parents=True)
    path.write_text(text)
    assert faults(tmp_path / "reliability") == []
