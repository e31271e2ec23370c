"""Counts by age of the lives in a store, from one question for as many models as are asked for."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Mapping
    from datetime import date

    from reliability.loaders.engine import Engine
    from reliability.risk_table import RiskTable


def tables_by_age(engine: Engine, places: Mapping[str, int], last_day: date | None) -> tuple[RiskTable, ...]:
    """Count the lives of some models up to a day, without one up to the end.

    places  by model, the table to count it in: 0, 1, ...; models that share a place are counted as one
    """
    from reliability.risk_table import risk_tables_by_day  # noqa: PLC0415  (rates need no arrays)

    engine.hold("asked_models", "model string, place int", list(places.items()))
    if last_day is None:
        columns = engine.columns("questions/ages")
    else:
        columns = engine.columns("questions/ages_by_day", last_day=last_day)
    return risk_tables_by_day(**columns, places=max(places.values(), default=-1) + 1)
