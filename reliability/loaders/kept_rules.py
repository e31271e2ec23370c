"""The rules by which snapshots are read that stay where they lie, as the manifest keeps them."""

from __future__ import annotations

from typing import TYPE_CHECKING

import attrs
import cattrs

from reliability.loaders.manifest import unreadable
from reliability.loaders.mapping import Mapping, RetiredRule

if TYPE_CHECKING:
    from collections.abc import Iterable
    from collections.abc import Mapping as Dictionary
    from pathlib import Path

    from reliability.errors import StoreError

Kept = dict[str, object]


def as_kept(mapping: Mapping) -> Kept:
    """What of a mapping decides how rows are read; the rest is applied later, and not kept."""
    return attrs.asdict(attrs.evolve(mapping, models={}, retired=RetiredRule()))


def kept_rules(folder: Path, kept: Dictionary[str, Kept], needed: Iterable[str]) -> dict[str, Mapping]:
    """The rules that the store in a folder keeps, by their digest.

    needed  digests of the rules that its files were read by

    Raises StoreError if some are not there, or others than their digest says: rows would be read in another way.
    """
    missing = sorted(set(needed) - kept.keys())
    if missing:
        raise unreadable(folder, f"missing @ $.read_in_place[{missing[0]!r}]")
    return {digest: _structured(folder, digest, table) for digest, table in kept.items()}


def _structured(folder: Path, digest: str, table: Kept) -> Mapping:
    try:
        rules = cattrs.structure(table, Mapping)
    except cattrs.ClassValidationError:
        raise _changed(folder, digest) from None
    if rules.rules_digest != digest:
        raise _changed(folder, digest)
    return rules


def _changed(folder: Path, digest: str) -> StoreError:
    return unreadable(folder, f"not the rules that files were read by @ $.read_in_place[{digest!r}]")
