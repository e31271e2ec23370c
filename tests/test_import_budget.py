"""What is loaded when: a question that needs no engine, frame or figure does not wait for one."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from fresh_python import fresh_python

if TYPE_CHECKING:
    from pathlib import Path

HEAVY = ("duckdb", "pandas", "numpy", "matplotlib", "scipy", "lifelines", "statsmodels", "pyarrow", "jinja2")
NOT_FOR_TABLES = (
    "pandas",
    "scipy.stats",
    "scipy.optimize",
    "matplotlib",
    "lifelines",
    "statsmodels",
    "pyarrow",
)
RUN = "from reliability.cli.main import main; assert main({!r}) == 0"


def loaded_by(code: str, folder: Path) -> set[str]:
    """Names of the modules that a fresh Python has loaded after running some code."""
    tell = "import sys; print('loaded:', *sys.modules)"
    return set(fresh_python("-c", f"{code}\n{tell}", folder=folder).rpartition("loaded:")[2].split())


@pytest.mark.parametrize(
    "code", ["import reliability", "import reliability as rel; dir(rel)", RUN.format(["--help"])]
)
def test_the_package_and_its_help_load_no_engine_frame_or_figure(code: str, tmp_path: Path) -> None:
    found = loaded_by(code, tmp_path)
    assert "reliability" in found
    assert found & set(HEAVY) == set()


@pytest.mark.parametrize("command", ["rates", "checks"])
def test_the_tables_load_no_frame_figure_or_fitter(command: str, small_store: Path) -> None:
    found = loaded_by(RUN.format([command, "--store", str(small_store)]), small_store)
    assert "duckdb" in found
    assert found & set(NOT_FOR_TABLES) == set()


def test_the_rates_load_no_numbers_in_columns(small_store: Path) -> None:
    found = loaded_by(RUN.format(["rates", "--store", str(small_store)]), small_store)
    assert found & {"numpy", "scipy"} == set()


def test_a_question_to_a_store_its_curves_and_its_fits_wait_for_no_library_but_arrays(tmp_path: Path) -> None:
    found = loaded_by(
        "import reliability as rel; rel.open_store, rel.Rate, rel.kaplan_meier, rel.weibull", tmp_path
    )
    assert found & set(HEAVY) == {"duckdb", "numpy"}
    assert found & {"attrs", "cattrs"} == set()


def test_the_overview_needs_no_parser(tmp_path: Path) -> None:
    assert loaded_by(RUN.format(["--help"]), tmp_path) & {"cyclopts", "rich"} == set()


def test_a_heavy_module_would_be_seen(tmp_path: Path) -> None:
    assert {"numpy", "scipy"} <= loaded_by("import scipy.special", tmp_path)
