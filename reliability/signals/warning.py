"""Warnings before failures: how many failures had one, how long before, and how many drives that serve have one."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from reliability.binomial import clopper_pearson_interval
from reliability.interval import check_level

if TYPE_CHECKING:
    from collections.abc import Sequence

    from reliability.interval import Interval


@dataclass(frozen=True, slots=True)
class Share:
    """So many of so many, and what that says of the share in the long run.

    interval  exact limits; None of nothing
    """

    count: int
    of: int
    interval: Interval | None

    @property
    def value(self) -> float | None:
        """The share; None of nothing."""
        return self.count / self.of if self.of else None


@dataclass(frozen=True, slots=True)
class LeadTime:
    """Days from the first warning to the failure, over the failures that had one."""

    least: float
    lower_quartile: float
    median: float
    upper_quartile: float
    most: float


@dataclass(frozen=True, slots=True)
class Warnings:
    """What one signal told before drives failed, and what it tells of drives that have not.

    failures    those that had a warning before the day of the failure
    lead_time   None if none had
    in_service  drives in service that have one
    """

    failures: Share
    lead_time: LeadTime | None
    in_service: Share


def share(count: int, of: int, *, level: float = 0.95) -> Share:
    """Count with exact central limits of its share (`clopper_pearson_interval`).

    >>> found = share(1, 10)
    >>> f"{found.interval.low:.4f} {found.interval.high:.4f}"
    '0.0025 0.4450'
    >>> share(0, 0).interval is None
    True
    """
    check_level(level)
    if not count and not of:
        return Share(0, 0, None)
    return Share(count, of, clopper_pearson_interval(count, of, level))


def warnings(
    lead_days: Sequence[int | None], in_service: int, warned_in_service: int, *, level: float = 0.95
) -> Warnings:
    """Sum up who had a warning.

    lead_days          for each failure the days from the first warning to it; None without one before that day
    in_service         drives in service
    warned_in_service  those of them with a warning

    >>> found = warnings([3, None, 10, 40, None], in_service=200, warned_in_service=8)
    >>> found.failures.count, found.lead_time.median, found.in_service.value
    (3, 10.0, 0.04)
    """
    lead = [days for days in lead_days if days is not None]
    return Warnings(
        failures=share(len(lead), len(lead_days), level=level),
        lead_time=LeadTime(*np.percentile(lead, (0, 25, 50, 75, 100)).tolist()) if lead else None,
        in_service=share(warned_in_service, in_service, level=level),
    )
