"""The runner of the documents' examples: it must find what is wrong with one."""

from __future__ import annotations

from contextlib import chdir
from typing import TYPE_CHECKING

import pytest
from doc_examples import Command, Printed, commands, differs, printed, rewritten
from doc_fleet import DATASHEETS

if TYPE_CHECKING:
    from pathlib import Path


def test_a_block_is_cut_at_its_prompts() -> None:
    assert commands("$ driveyears rates\nTable\n\n$ cat a.toml\n") == [
        Command("driveyears rates", "Table\n\n"),
        Command("cat a.toml", ""),
    ]


def test_a_block_without_a_prompt_is_refused() -> None:
    with pytest.raises(AssertionError, match="begins with a command"):
        commands("driveyears rates\n")


@pytest.mark.parametrize(
    ("shown", "found"),
    [
        ("one\ntwo\n", "one\nthree\n"),  # another line
        ("one\n", "one\ntwo\n"),  # more than is shown
        ("one\n...\nfour\n", "one\ntwo\n"),  # the end is missing
        ("driveyears: no store\n", "driveyears: no such store\n"),  # another message
        ('"afr": 0.120237180,\n', '"afr": 0.12023719019106182,\n'),  # another number
    ],
)
def test_another_output_is_found(shown: str, found: str) -> None:
    assert differs(Command("driveyears rates", shown), Printed(found, 0)) is not None


@pytest.mark.parametrize(
    ("shown", "found"),
    [
        ("one\ntwo\n", "one\ntwo\n"),
        ("one\n...\nfour\n", "one\ntwo\nthree\nfour\n"),
        ("read in ... seconds\n", "read in 2.5 seconds\n"),
        ('"afr": 0.120237180,\n', '"afr": 0.12023718019106182,\n'),
        ("", "whatever\n"),
    ],
)
def test_the_output_that_is_shown_is_accepted(shown: str, found: str) -> None:
    assert differs(Command("driveyears rates", shown), Printed(found, 0)) is None


def test_a_command_that_fails_unseen_is_found() -> None:
    assert differs(Command("driveyears rates", ""), Printed("driveyears: no store\n", 2)) is not None


def test_messages_are_part_of_what_is_shown_and_a_file_is_written(tmp_path: Path) -> None:
    with chdir(tmp_path):
        assert printed("driveyears rates").code == 2
        assert printed("driveyears rates").text.startswith("driveyears: There is no store")
        assert printed("driveyears --help > help.txt") == Printed("", 0)
        assert printed("cat help.txt").text.split() == printed("driveyears --help").text.split()
        assert printed("head -1 help.txt").text == "Usage: driveyears COMMAND\n"


def test_rewriting_mends_what_differs_and_keeps_what_was_shortened() -> None:
    document = (
        "# Title\n```toml\n# own.toml\nsize = 1\n```\n"
        "```console\n$ cat own.toml\nold\n$ head -1 datasheets.toml\n[[data...\n$ cat removals.csv\n```\nthe end\n"
    )
    mended = document.replace("old\n", "# own.toml\nsize = 1\n")
    assert rewritten(document) == mended
    assert DATASHEETS.startswith("[[data")
