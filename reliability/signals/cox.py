"""The hazard ratio from who failed among those of one age: Cox regression on a state that changes with time.

At each age at which drives of a model failed, all that counts is how many were at risk in each state and how many
of the failed were. So a pair of risk tables is enough, however many lives they were made from.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

from reliability.interval import check_level
from reliability.rate import Rate
from reliability.signals.hazard_ratio import HazardRatio, Refused, from_logarithm, too_few
from reliability.survival.root import falling_root

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from reliability.risk_table import RiskTable

_WIDEST = math.exp(15)  # a ratio beyond which there is none


def cox_hazard_ratio(
    strata: Sequence[tuple[RiskTable, RiskTable]], *, level: float = 0.95
) -> HazardRatio | Refused:
    """Maximise the partial likelihood of one ratio, the same at every age and in every stratum.

    strata   for each model its drives in the unexposed state and in the exposed one, by age; a drive that changes
             state leaves one table at the age at which it enters the other. A stratum with drives in one state only
             compares nothing

    Late entry is in the risk sets, entry < age <= exit. Failures of one age are shared out as by Efron. No shape
    is assumed of the hazard by age, which each stratum has for itself. Refused are fewer than 5 failures in a
    state, and a likelihood that has its best at 0 or without end.

    Source: Cox (1972), Efron (1977), Andersen & Gill (1982); citations from memory.

    >>> from reliability.risk_table import risk_table
    >>> sound = risk_table([0] * 9, range(20, 110, 10), ["failed"] * 9)
    >>> warned = risk_table([15] * 6, range(25, 85, 10), ["failed"] * 6)
    >>> print(cox_hazard_ratio([(sound, warned)]))
    1.9 (0.606-5.99)
    """
    check_level(level)
    strata = [pair for pair in strata if all(table.lives for table in pair)]
    refused = too_few(*(sum((_rate(pair[place]) for pair in strata), Rate(0, 0)) for place in (0, 1)))
    if refused is not None:
        return refused
    unexposed, exposed, failed = _shared_out(strata)
    if failed <= (exposed[unexposed == 0] > 0).sum() or failed >= (exposed > 0).sum():
        return Refused(
            "At no age did drives fail in both states while drives of their model were at risk in the other, "
            "so that no finite ratio is best."
        )

    def score(ratio: float) -> tuple[float, float]:
        share = ratio * exposed / (unexposed + ratio * exposed)
        return failed - float(share.sum()), -float((share * (1 - share)).sum())

    value = falling_root(score, 1.0, 1 / _WIDEST, _WIDEST)
    information = -score(value)[1]
    return from_logarithm(math.log(value), 1 / math.sqrt(information), level)


def _rate(table: RiskTable) -> Rate:
    return Rate(table.failures, table.drive_days)


def _shared_out(
    strata: Sequence[tuple[RiskTable, RiskTable]],
) -> tuple[NDArray[np.float64], NDArray[np.float64], int]:
    """Who was at risk in each state when each drive failed, and how many of those that failed were exposed.

    Of the d that failed at one age, the k-th is drawn from a risk set that has lost k/d of them.
    """
    sets = [_failure_ages(*pair) for pair in strata]
    at_risk = np.concatenate([risk for risk, _ in sets], axis=1)
    failed = np.concatenate([died for _, died in sets], axis=1)
    ties = failed.sum(axis=0)
    age = np.repeat(np.arange(ties.size), ties)
    gone = (np.arange(age.size) - np.repeat(np.cumsum(ties) - ties, ties)) / ties[age]
    left = at_risk[:, age] - gone * failed[:, age]
    return left[0], left[1], int(failed[1].sum())


def _failure_ages(unexposed: RiskTable, exposed: RiskTable) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """At each age at which any failed: at risk, and failed, in two rows a state."""
    tables = unexposed, exposed
    ages = np.unique(np.concatenate([table.age[table.failed > 0] for table in tables]))
    at_risk = np.zeros((2, ages.size), dtype=np.int64)
    failed = np.zeros_like(at_risk)
    for row, table in enumerate(tables):
        gained = np.concatenate(([0], np.cumsum(table.entered - table.exits)))
        at_risk[row] = gained[np.searchsorted(table.age, ages)]
        some = table.failed > 0
        failed[row, np.searchsorted(ages, table.age[some])] = table.failed[some]
    return at_risk, failed
