"""The heart transplant data of Crowley & Hu (1977), as lifelines carries them, split by the transplant."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from lifelines.datasets import load_stanford_heart_transplants

from reliability.risk_table import RiskTable, risk_table

if TYPE_CHECKING:
    import pandas as pd

Strata = list[tuple[RiskTable, RiskTable]]


def heart_spells() -> pd.DataFrame:
    """One row a spell of a patient: start and stop in days, event, transplant, surgery."""
    frame: pd.DataFrame = load_stanford_heart_transplants()
    return frame


def tables_of(spells: pd.DataFrame, state: str, stratum: str | None = None) -> Strata:
    """Spells as pairs of risk tables, one pair a stratum."""
    labels = np.zeros(len(spells)) if stratum is None else spells[stratum].to_numpy()
    exposed = spells[state].to_numpy() == 1
    return [
        (_table(spells[(labels == label) & ~exposed]), _table(spells[(labels == label) & exposed]))
        for label in np.unique(labels)
    ]


def _table(spells: pd.DataFrame) -> RiskTable:
    ends = np.where(spells["event"] == 1, "failed", "in service")
    return risk_table(spells["start"].to_numpy(), spells["stop"].to_numpy(), ends)
