"""Notebooks and the scripts they are written from: `python tests/notebook_pairs.py` writes every notebook anew.

A script is what people edit and review; the notebook beside it is what people open. It has no outputs, and
nothing in it depends on who wrote it: the same script gives the same bytes.
"""

from __future__ import annotations

from hashlib import sha256
from pathlib import Path

import jupytext
import nbformat

SCRIPTS = tuple(sorted((Path(__file__).parents[1] / "notebooks").glob("*.py")))
_KERNEL = {
    "display_name": "Python 3",
    "language": "python",
    "name": "python3",
}  # what every installation calls it


def notebook_of(script: Path) -> nbformat.NotebookNode:
    """The notebook that a percent script stands for; each cell is named for its text, so names stay."""
    notebook: nbformat.NotebookNode = jupytext.reads(script.read_text(encoding="utf-8"), fmt="py:percent")
    notebook.metadata = nbformat.from_dict({"kernelspec": _KERNEL, "language_info": {"name": "python"}})
    for cell in notebook.cells:
        cell.id = sha256(cell.source.encode()).hexdigest()[:8]
    return notebook


def text_of(notebook: nbformat.NotebookNode) -> str:
    """As it stands in its file."""
    text: str = nbformat.writes(notebook)
    return text + "\n"


def main() -> None:
    for script in SCRIPTS:
        script.with_suffix(".ipynb").write_text(text_of(notebook_of(script)), encoding="utf-8")


if __name__ == "__main__":
    main()
