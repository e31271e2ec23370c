"""Text from the data as a terminal may have it."""

from __future__ import annotations

import unicodedata


def visible(text: str) -> str:
    r"""Text with its control characters written out, for a terminal would obey them.

    >>> print(visible("a\x1b[31mb"))
    a\x1b[31mb
    """
    return "".join(
        sign.encode("unicode_escape").decode() if unicodedata.category(sign) == "Cc" else sign
        for sign in text
    )
