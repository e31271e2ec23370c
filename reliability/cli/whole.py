"""Whole numbers on the command line, which are not rounded from others."""

from __future__ import annotations

from collections.abc import Sequence

from cyclopts import Token

from reliability.errors import QuestionError


def whole(_: type, tokens: Sequence[Token]) -> int:
    """Read a whole number.

    Raises QuestionError for any other: half a drive would be rounded, and a question answered that nobody asked.
    """
    option, text = tokens[0].keyword, tokens[0].value
    try:
        return int(text)
    except ValueError:
        raise QuestionError(f"{option} {text} is no whole number; write it in digits, such as 12.") from None
