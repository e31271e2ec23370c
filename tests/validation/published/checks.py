"""What stands behind a published value: the entries of a module, each with how ours is computed."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, TypeAlias

Inputs: TypeAlias = dict[str, Any]
Values: TypeAlias = dict[str, float]
Computed: TypeAlias = Callable[[Inputs], Values]


class Checks(dict[str, Computed]):
    """How ours is computed, by the id of the entry: from its inputs to values under the names that it expects.

    >>> ours = Checks()
    >>> @ours.computes("one", "another")
    ... def twice(given):
    ...     return {"x": 2 * given["x"]}
    >>> sorted(ours), ours["one"]({"x": 2})
    (['another', 'one'], {'x': 4})
    """

    def computes(self, *entries: str) -> Callable[[Computed], Computed]:
        """Remember a function for some entries."""

        def remember(function: Computed) -> Computed:
            self.update(dict.fromkeys(entries, function))
            return function

        return remember
