"""Which drives stood in service at a day, and which of them failed later."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from reliability.in_service import InService

if TYPE_CHECKING:
    from collections.abc import Iterable


@dataclass(frozen=True, slots=True, eq=False)
class Standing:
    """One model's drives in service at the end of a day; and of them, those that failed by another day."""

    drives: InService
    failed: int


def standing_by_model(rows: Iterable[tuple[str, int | None, int, int]]) -> dict[str, Standing]:
    """Gather rows of model, age in days or none, drives, and those that failed; ages rise within a model.

    >>> found = standing_by_model([("TARN T18", 30, 2, 1), ("TARN T18", None, 1, 0)])["TARN T18"]
    >>> found.drives.total, found.drives.unknown, found.failed
    (3, 1, 1)
    """
    by_model: dict[str, list[tuple[int | None, int, int]]] = {}
    for model, age, drives, failed in rows:
        by_model.setdefault(model, []).append((age, drives, failed))
    return {model: _gathered(cells) for model, cells in by_model.items()}


def _gathered(cells: list[tuple[int | None, int, int]]) -> Standing:
    known = np.array([(age, drives) for age, drives, _ in cells if age is not None], dtype=np.int64).reshape(
        -1, 2
    )
    unknown = sum(drives for age, drives, _ in cells if age is None)
    drives = InService(known[:, 0].astype(np.float64), known[:, 1], unknown)
    return Standing(drives, sum(failed for _, _, failed in cells))
