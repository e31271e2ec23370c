"""When two spellings name one model."""

from __future__ import annotations

import re
import unicodedata


def folded(model: str) -> str:
    """Return what spellings of one model share: forms of characters, case and separators make no difference.

    >>> folded(" Tarn_T18") == folded("TARN - t18")
    True
    """
    return re.sub(r"[\s_-]+", " ", unicodedata.normalize("NFKC", model)).strip().casefold()
