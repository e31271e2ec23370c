"""Each notebook is its script without outputs, uses the public names only, and runs."""

from __future__ import annotations

import ast
from time import monotonic
from typing import TYPE_CHECKING

import nbformat
import pytest
from fresh_python import ROOT
from nbclient import NotebookClient
from nbclient.exceptions import CellExecutionError
from notebook_pairs import SCRIPTS, notebook_of, text_of

import reliability

if TYPE_CHECKING:
    from pathlib import Path

NOTEBOOKS = tuple(sorted((ROOT / "notebooks").glob("*.ipynb")))
SECONDS = 60  # that a reader waits at most for a whole notebook
MAY_IMPORT = {"numpy", "matplotlib", "pandas", "reliability"}
WARNINGS_ARE_ERRORS = "import warnings\nwarnings.simplefilter('error')"
DEFINITIONS = (ast.FunctionDef, ast.AsyncFunctionDef, ast.Lambda, ast.ClassDef)

each_script = pytest.mark.parametrize("script", SCRIPTS, ids=lambda script: script.stem)


@pytest.fixture
def jupyter_at_home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Let Jupyter keep its files, and see no settings of whoever runs the tests."""
    for name in ("JUPYTER_CONFIG_DIR", "JUPYTER_DATA_DIR", "JUPYTER_RUNTIME_DIR", "IPYTHONDIR"):
        monkeypatch.setenv(name, str(tmp_path / name.lower()))
    monkeypatch.setenv("MPLBACKEND", "module://matplotlib_inline.backend_inline")


def run(notebook: nbformat.NotebookNode) -> nbformat.NotebookNode:
    """The notebook with its outputs, made with warnings as errors."""
    notebook.cells.insert(0, nbformat.v4.new_code_cell(WARNINGS_ARE_ERRORS))
    client = NotebookClient(
        notebook, timeout=SECONDS, kernel_name="python3", resources={"metadata": {"path": str(ROOT)}}
    )
    ran: nbformat.NotebookNode = client.execute()
    return ran


def tree_of(script: Path) -> ast.Module:
    return ast.parse(script.read_text(encoding="utf-8"))


def test_each_notebook_has_its_script_and_is_explained() -> None:
    assert SCRIPTS
    assert [script.with_suffix(".ipynb") for script in SCRIPTS] == list(NOTEBOOKS)
    readme = (ROOT / "notebooks" / "README.md").read_text(encoding="utf-8")
    for notebook in NOTEBOOKS:
        assert f"]({notebook.name})" in readme


@each_script
def test_the_notebook_is_its_script_without_outputs(script: Path) -> None:
    text = script.with_suffix(".ipynb").read_text(encoding="utf-8")
    assert text == text_of(notebook_of(script)), "write it anew: python tests/notebook_pairs.py"
    notebook = nbformat.reads(text, as_version=nbformat.NO_CONVERT)
    nbformat.validate(notebook)
    code = [cell for cell in notebook.cells if cell.cell_type == "code"]
    assert code
    assert all(cell.outputs == [] and cell.execution_count is None for cell in code)


@each_script
def test_the_notebook_imports_little_and_defines_nothing(script: Path) -> None:
    nodes = list(ast.walk(tree_of(script)))
    assert not [node.lineno for node in nodes if isinstance(node, DEFINITIONS)]
    assert not [node.lineno for node in nodes if isinstance(node, ast.ImportFrom)]
    imported = {alias.name for node in nodes if isinstance(node, ast.Import) for alias in node.names}
    assert {name.partition(".")[0] for name in imported} <= MAY_IMPORT
    assert {name for name in imported if name.startswith("reliability")} == {"reliability"}


@each_script
def test_the_notebook_uses_public_names_only(script: Path) -> None:
    used = {
        node.attr
        for node in ast.walk(tree_of(script))
        if isinstance(node, ast.Attribute) and isinstance(node.value, ast.Name) and node.value.id == "rel"
    }
    assert used
    assert used <= set(reliability.__all__)


@each_script
@pytest.mark.usefixtures("jupyter_at_home")
def test_the_notebook_runs_and_holds_what_it_claims(script: Path) -> None:
    began = monotonic()
    ran = run(notebook_of(script))
    assert monotonic() - began < SECONDS
    outputs = [output for cell in ran.cells for output in cell.get("outputs", ())]
    assert {output.output_type for output in outputs} == {
        "stream",
        "display_data",
    }  # no error, nothing by chance
    assert {output.name for output in outputs if output.output_type == "stream"} == {"stdout"}
    assert any("image/png" in output.data for output in outputs if output.output_type == "display_data")
    assert any(line.startswith("assert ") for cell in ran.cells for line in cell.source.splitlines())


@pytest.mark.usefixtures("jupyter_at_home")
@pytest.mark.parametrize(
    ("code", "told"), [("warnings.warn('dubious')", "dubious"), ("assert 1 + 1 == 3", "AssertionError")]
)
def test_a_warning_or_a_claim_that_fails_would_be_seen(code: str, told: str) -> None:
    with pytest.raises(CellExecutionError, match=told):
        run(nbformat.v4.new_notebook(cells=[nbformat.v4.new_code_cell(code)]))
