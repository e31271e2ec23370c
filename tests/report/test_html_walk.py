from __future__ import annotations

import pytest

from report.html_walk import walk


@pytest.mark.parametrize(
    ("html", "fault"),
    [
        ("<p><b>text</p></b>", "</p> closes nothing, line 1"),
        ("<p>", "<p> stays open"),
        ("</p>", "</p> closes nothing, line 1"),
        ('<p id="a" id="b"></p>', "<p> has an attribute twice"),
    ],
)
def test_a_fault_is_found(html: str, fault: str) -> None:
    assert fault in walk(html).faults


def test_a_sound_page_has_none_and_gives_its_text() -> None:
    page = walk('<meta charset="utf-8"><style>p {}</style><p>one <b>two</b> &lt;</p><svg><path d="M"/></svg>')
    assert not page.faults
    assert page.text == "one two <"
    assert page.named("path")[0].inside == ("svg",)
