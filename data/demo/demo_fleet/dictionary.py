"""Every column explained, as Data Package Table Schemas."""

from __future__ import annotations


def schemas() -> dict[str, object]:
    """Return the schemas by file name."""
    return {}
