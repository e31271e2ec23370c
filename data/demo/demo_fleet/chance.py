"""Chance that falls the same way on every machine."""

from __future__ import annotations

import random

SEED = 20260930


def stream(name: str) -> random.Random:
    """Return a stream of chance of its own, so that a change to one part leaves the others as they were.

    Only `random()` is drawn from it: Python promises that its numbers stay the same from version to version.
    """
    return random.Random(f"{SEED} {name}")  # noqa: S311  (an invented fleet holds no secret)


def below(chance: random.Random, count: int) -> int:
    """Draw a whole number from 0 to count - 1."""
    return int(chance.random() * count)


def between(chance: random.Random, low: int, high: int) -> int:
    """Draw a whole number from low to high, both included."""
    return low + below(chance, high - low + 1)
