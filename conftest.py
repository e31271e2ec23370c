"""What all tests share: how properties are tried, and how the examples of the documents run."""

from __future__ import annotations

from contextlib import chdir
from typing import TYPE_CHECKING

import pytest
from doc_examples import run_console_block, write_toml_block
from doc_fleet import write_fleet
from hypothesis import settings
from sybil import Sybil
from sybil.parsers.markdown import CodeBlockParser, PythonCodeBlockParser

if TYPE_CHECKING:
    from collections.abc import Iterator

settings.register_profile("house", deadline=None)  # a case may open a database, and a machine may be busy
settings.load_profile("house")


@pytest.fixture(scope="module")
def beside_the_small_fleet(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """A folder for each document, with the files that its examples read."""
    folder = tmp_path_factory.mktemp("reader")
    write_fleet(folder)
    with chdir(folder):
        yield


pytest_collect_file = Sybil(
    parsers=[
        PythonCodeBlockParser(),
        CodeBlockParser("console", run_console_block),
        CodeBlockParser("toml", write_toml_block),
    ],
    patterns=["README.md", "DEVELOPERS.md", "docs/*.md"],
    fixtures=["beside_the_small_fleet"],
).pytest()
