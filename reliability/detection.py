"""How much exposure it takes until an interval can exclude a rate.

Exposure is measured in failures expected at the stated rate, so that one answer serves every stated rate:
divide by it for drive-years. As exposure grows, the count that excludes a rate steps up, and at each step the
chance to reach it falls: the power of an exact test is a saw-tooth. So an exposure is enough only if up to a
quarter more of it is enough too.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import count
from typing import TYPE_CHECKING, Protocol

from reliability.errors import QuestionError
from reliability.poisson import garwood_interval, mean_for_at_least, mean_for_at_most

if TYPE_CHECKING:
    from collections.abc import Iterator

POWER = 0.8
SUSTAINED = 1.25


class Exclusion(Protocol):
    """A rule by which a count excludes a rate."""

    def up_to(self, failures: int, per_year: float) -> float:
        """Exposure up to which so many failures are too many for the rate."""

    def beyond(self, failures: int, per_year: float) -> float:
        """Exposure beyond which they are too few for it."""


@dataclass(frozen=True, slots=True)
class ByExactLimits:
    """A rate is excluded if the exact interval does not hold it."""

    level: float = 0.95

    def up_to(self, failures: int, per_year: float) -> float:
        """Exposure at which the lower limit comes down to the rate."""
        return garwood_interval(failures, self.level).low / per_year

    def beyond(self, failures: int, per_year: float) -> float:
        """Exposure at which the upper limit comes down to the rate."""
        return garwood_interval(failures, self.level).high / per_year


def expected_to_exclude(  # noqa: PLR0913  (four of them have defaults that fit)
    excluded: float,
    truth: float,
    *,
    failures: int = 0,
    expected: float = 0.0,
    level: float = 0.95,
    by: Exclusion | None = None,
) -> float:
    """Further expected failures until an interval excludes a rate, with probability 0.8 or more.

    excluded  the rate to exclude, as a multiple of the stated rate: 1 is the stated rate itself
    truth     the rate at which the drives truly fail, as a multiple of the stated rate; not `excluded`
    failures  seen so far
    expected  failures that were expected so far at the stated rate
    level     of the exact interval
    by        another rule than that of the exact interval; its unit of exposure is an expected failure
    returns   the least further exposure, in failures expected at the stated rate, after which the probability
              is 0.8 or more and stays so while all exposure grows by 25 %; 0 if that is so already

    >>> round(expected_to_exclude(1, 2), 1)  # to find that a model fails twice as often as stated
    12.4
    >>> round(expected_to_exclude(2, 1), 1)  # to rule that out for one that keeps its rate
    13.6
    """
    if truth == excluded:
        raise QuestionError(
            f"No exposure excludes {excluded:g} times the stated rate if it is true; ask for another."
        )
    likely = _likely_from_above if truth > excluded else _likely_from_below
    since = reached = 0.0
    for begin, end in likely(excluded, truth, failures, expected, by or ByExactLimits(level)):
        if begin >= end:
            continue  # this count does not exclude the rate any more, or not yet, when it becomes likely
        if begin > reached:
            since = begin
        reached = end
        if reached >= SUSTAINED * since:
            break
    return since - expected


def _likely_from_above(
    excluded: float, truth: float, failures: int, expected: float, by: Exclusion
) -> Iterator[tuple[float, float]]:
    """Spans of exposure in which `total` failures or more are likely, and too many for the excluded rate."""
    for total in count(failures):
        begin = expected + mean_for_at_least(total - failures, POWER) / truth
        yield begin, by.up_to(total, excluded)


def _likely_from_below(
    excluded: float, truth: float, failures: int, expected: float, by: Exclusion
) -> Iterator[tuple[float, float]]:
    """Spans of exposure in which `total` failures or fewer are likely, and too few for the excluded rate."""
    for total in count(failures):
        begin = max(expected, by.beyond(total, excluded))
        yield begin, expected + mean_for_at_most(total - failures, POWER) / truth
