"""How much exposure it takes until an interval can exclude a rate.

Exposure is measured in failures expected at the stated rate, so that one answer serves every stated rate:
divide by it for drive-years. As exposure grows, the count that excludes a rate steps up, and at each step the
chance to reach it falls: the power of an exact test is a saw-tooth. So an exposure is enough only if up to a
quarter more of it is enough too.
"""

from __future__ import annotations

from itertools import count
from typing import TYPE_CHECKING

from reliability.errors import QuestionError
from reliability.poisson import garwood_interval, mean_for_at_least, mean_for_at_most

if TYPE_CHECKING:
    from collections.abc import Iterator

POWER = 0.8
SUSTAINED = 1.25


def expected_to_exclude(
    excluded: float, truth: float, *, failures: int = 0, expected: float = 0.0, level: float = 0.95
) -> float:
    """Further expected failures until the exact interval excludes a rate, with probability 0.8 or more.

    excluded  the rate to exclude, as a multiple of the stated rate: 1 is the stated rate itself
    truth     the rate at which the drives truly fail, as a multiple of the stated rate; not `excluded`
    failures  seen so far
    expected  failures that were expected so far at the stated rate
    level     of the interval
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
    for begin, end in likely(excluded, truth, failures, expected, level):
        if begin >= end:
            continue  # this count does not exclude the rate any more, or not yet, when it becomes likely
        if begin > reached:
            since = begin
        reached = end
        if reached >= SUSTAINED * since:
            break
    return since - expected


def _likely_from_above(
    excluded: float, truth: float, failures: int, expected: float, level: float
) -> Iterator[tuple[float, float]]:
    """Spans of exposure in which `total` failures or more are likely, and too many for the excluded rate."""
    for total in count(failures):
        begin = expected + mean_for_at_least(total - failures, POWER) / truth
        yield begin, garwood_interval(total, level).low / excluded


def _likely_from_below(
    excluded: float, truth: float, failures: int, expected: float, level: float
) -> Iterator[tuple[float, float]]:
    """Spans of exposure in which `total` failures or fewer are likely, and too few for the excluded rate."""
    for total in count(failures):
        begin = max(expected, garwood_interval(total, level).high / excluded)
        yield begin, expected + mean_for_at_most(total - failures, POWER) / truth
