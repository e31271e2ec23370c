"""The documents are whole: every command, column, check and key stands in them, and every link leads somewhere."""

from __future__ import annotations

import json
import re
from typing import TYPE_CHECKING

import duckdb
import pytest
from doc_examples import printed
from fresh_python import ROOT

from reliability.cli.commands import COMMANDS
from reliability.datasheet.rules import RULES
from reliability.detection import expected_to_exclude
from reliability.loaders.checks import CHECKS
from reliability.loaders.columns import COUNTERS, SNAPSHOT_COLUMNS

if TYPE_CHECKING:
    from pathlib import Path

FENCED = re.compile(r"^```.*?^```$", re.MULTILINE | re.DOTALL)

DOCS = ROOT / "docs"
PAGES = sorted(DOCS.rglob("*.md"))
DOCUMENTS = [ROOT / "README.md", ROOT / "DEVELOPERS.md", ROOT / "CHANGELOG.md", *PAGES]
DATA = FENCED.sub("", (DOCS / "data.md").read_text(encoding="utf-8"))
CLI = (DOCS / "cli.md").read_text(encoding="utf-8")
PARTS = {"snapshots": "snapshots/*/*", "stays": "stays/*/stays-*"}  # tables of many files; the others are one


def section(document: str, heading: str) -> str:
    """The text below a heading, up to the next heading of its rank or above."""
    rank = heading.index(" ")
    found = re.search(
        rf"^{re.escape(heading)}\n(.*?)(?=^#{{1,{rank}}} |\Z)", document, re.MULTILINE | re.DOTALL
    )
    assert found is not None, f"there is no heading {heading!r}"
    return found[1]


def rows(text: str) -> list[list[str]]:
    """The cells of the tables in a text, without headings and without the marks of code."""
    lines = re.findall(r"^\|(.*)\|$", text, re.MULTILINE)
    cells = [[cell.strip() for cell in line.split(" | ")] for line in lines]
    return [[re.sub(r"^`(.*?)`.*", r"\1", row[0]), *row[1:]] for row in cells if row[0].startswith("`")]


def anchors(document: str) -> set[str]:
    headings = re.findall(r"^#+ (.*)$", FENCED.sub("", document), re.MULTILINE)
    return {re.sub(r"[^\w\- ]", "", heading).lower().replace(" ", "-") for heading in headings}


@pytest.mark.parametrize("command", COMMANDS)
def test_each_command_has_its_section_with_its_help(command: str) -> None:
    assert f"$ driveyears {command} --help\nUsage: driveyears {command}" in section(CLI, f"## {command}")


def test_the_columns_read_are_those_described() -> None:
    described = rows(section(DATA, "## Snapshots"))
    assert described == [
        [c.name, c.sql_type, c.unit, c.meaning + (" (required)" if c.required else "")]
        for c in SNAPSHOT_COLUMNS
    ]


def test_the_checks_are_those_described() -> None:
    assert rows(section(DATA, "## Checks")) == [[c.code, c.meaning, c.price] for c in CHECKS]


def test_the_number_of_checks_is_as_told() -> None:
    assert len(CHECKS) == 20
    for name in ("README.md", "CHANGELOG.md"):
        assert "twenty checks" in (ROOT / name).read_text(encoding="utf-8").casefold().replace("\n", " ")


def test_the_keys_of_a_datasheet_are_those_described() -> None:
    assert [row[0] for row in rows(section(DATA, "## datasheets.toml"))] == list(RULES)


def columns_described(table: str) -> set[tuple[str, str]]:
    """Name and type of each column, those that stand for several written out."""
    kinds = {"{counter}": COUNTERS, "{traffic}": ("bytes_written", "bytes_read")}
    found = set()
    for name, kind, *_ in rows(section(DATA, f"### {table}")):
        stands_for = next((mark for mark in kinds if mark in name), None)
        names = (
            [name] if stands_for is None else [name.replace(stands_for, each) for each in kinds[stands_for]]
        )
        found |= {(each, kind) for each in names}
    return found


def columns_stored(store: Path, files: str) -> set[tuple[str, str]]:
    asked = "describe select * from read_parquet($files, hive_partitioning = false)"
    answer = duckdb.execute(asked, {"files": str(store / f"{files}.parquet")}).fetchall()
    return {(name, kind) for name, kind, *_ in answer}


def tables_stored(store: Path) -> set[str]:
    return set(json.loads((store / "manifest.json").read_text(encoding="utf-8"))["tables"]) | set(PARTS)


def test_the_tables_of_the_store_are_those_described(small_store: Path) -> None:
    described = re.findall(r"^### (.*)$", section(DATA, "## The store"), re.MULTILINE)
    assert set(described) == tables_stored(small_store)


def test_the_columns_of_the_store_are_those_described(small_store: Path) -> None:
    for table in tables_stored(small_store):
        described = columns_described(table)
        if table == "snapshots":
            described |= {(column.name, column.sql_type) for column in SNAPSHOT_COLUMNS}
        assert columns_stored(small_store, PARTS.get(table, f"{table}-*")) == described, table


def keys(value: object) -> set[str]:
    """All keys of a JSON value, however deep."""
    if isinstance(value, dict):
        return set(value) | {key for inner in value.values() for key in keys(inner)}
    return {key for inner in value for key in keys(inner)} if isinstance(value, list) else set()


@pytest.mark.parametrize(
    ("command", "line"),
    [
        ("mapping", "mapping {}/../snapshots"),
        ("checks", "checks --store {}"),
        ("rates", "rates --store {} --by model,quarter,age,site"),
        ("survival", "survival --store {}"),
        ("rank", "rank --store {}"),
        ("forecast", "forecast --store {} --backtest"),
        ("compare", "compare --store {0} --datasheets {0}/../datasheets.toml"),
        ("signals", "signals --store {0} --datasheets {0}/../datasheets.toml"),
        ("plan", "plan --drive-years 12 --failures 0 --stated-afr 0.35 --store {}"),
        (
            "rebuild",
            "rebuild --drives 6 --parity 2 --capacity-tb 9 --mb-per-s 99 --error-rate 0 --model Marl-M6 --store {}",
        ),
    ],
)
def test_every_key_of_the_json_is_explained(command: str, line: str, small_store: Path) -> None:
    given = printed(f"driveyears {line.format(small_store)} --format json > {small_store}/../told.json")
    assert given.code == 0, given.text
    told = json.loads((small_store.parent / "told.json").read_text(encoding="utf-8"))
    explained = set(re.findall(r"`(\w+)`", section(CLI, f"## {command}")))
    theirs = set(told.get("columns", ())) if command == "mapping" else set()  # the columns of the source
    assert keys(told) - theirs - explained - {"models"} == set()


def test_the_exposure_needed_is_as_computed() -> None:
    methods = (DOCS / "methods.md").read_text(encoding="utf-8")
    for excluded, truth in ((1, 5), (1, 3), (1, 2), (2, 1)):
        needed = expected_to_exclude(excluded, truth)
        assert f"| {needed:.1f} | {round(needed / 0.0035, -1):,.0f} |" in methods


@pytest.mark.parametrize("document", DOCUMENTS, ids=lambda path: path.name)
def test_every_link_leads_somewhere(document: Path) -> None:
    text = document.read_text(encoding="utf-8")
    for target in re.findall(r"\]\(([^)]+)\)", text):
        path, _, anchor = target.partition("#")
        there = (document.parent / path).resolve() if path else document
        assert there.exists(), target
        assert not anchor or anchor in anchors(there.read_text(encoding="utf-8")), target


def test_the_index_lists_every_page() -> None:
    linked = re.findall(r"\]\(([^)#]+)\)", (DOCS / "index.md").read_text(encoding="utf-8"))
    pages = {page.relative_to(DOCS).as_posix() for page in PAGES}
    assert pages - {"index.md"} == set(linked) - {"../README.md"}


def test_the_glossary_is_in_order() -> None:
    glossary = (DOCS / "glossary.md").read_text(encoding="utf-8")
    words = [
        line.split(" | ")[0].lstrip("| ").casefold()
        for line in glossary.splitlines()
        if line.startswith("| ")
    ]
    assert words[0] == "word"
    assert words[2:] == sorted(words[2:])
