"""Models named on the command line, in any spelling that the store takes for theirs."""

from __future__ import annotations

from typing import TYPE_CHECKING

from reliability.loaders.spellings import no_such_model
from reliability.spelling import folded

if TYPE_CHECKING:
    from collections.abc import Sequence

    from reliability.loaders.store import Store


def models_asked(store: Store, names: Sequence[str]) -> tuple[str, ...]:
    """The models named, as the store shows them; without a name all. Raises QuestionError for an unknown one."""
    known = store.models()
    spelt = {folded(name): name for name in known}
    if unknown := [name for name in names if folded(store.shown_name(name)) not in spelt]:
        raise no_such_model(unknown[0], known)
    return tuple(dict.fromkeys(spelt[folded(store.shown_name(name))] for name in names)) or known
