"""Looks that are planned in advance: each may spend a part of alpha, and all together no more than alpha.

At look k of K the chance of a false alarm so far may be what O'Brien and Fleming's rule grants at k / K (Lan & DeMets
1983): next to nothing at first, nearly all of alpha at the last look, which so costs almost nothing against a single
one. Which counts are alarms is reckoned exactly for Poisson counts: the chance of each count, no alarm raised so far,
is carried from look to look.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np
from scipy.special import gammaln, ndtr, ndtri, xlogy

from reliability.comparer.stated import (
    RATIO,
    Comparison,
    Verdict,
    check_stated,
    more_drive_years,
    verdict_of,
)
from reliability.digits import counted
from reliability.errors import QuestionError
from reliability.interval import Interval, check_level
from reliability.poisson import mean_for_at_least, mean_for_at_most

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from numpy.typing import NDArray

    from reliability.rate import Rate

    Floats = NDArray[np.float64]

_FURTHEST = 8.0  # standard deviations from the mean to which counts are carried on
_NEGLIGIBLE = 1e-15
_SCANNED = 12  # rates between which the first one that is kept is looked for
_HALVINGS = 24


def spent(share: float, alpha: float) -> float:
    """Chance of a false alarm that a one-sided test may have spent after a share of its planned looks.

    share  above 0, at most 1
    alpha  spent after all of them

    >>> f"{spent(0.5, 0.025):.4f} {spent(1.0, 0.025):.4f}"
    '0.0015 0.0250'
    """
    return float(2 * ndtr(ndtri(alpha / 2) / math.sqrt(share)))


def too_many(expected: Sequence[float], tails: Sequence[float]) -> list[int]:
    """Least counts that raise an alarm, at each look.

    expected  failures expected by each look if the rate is true, not falling
    tails     chance of an alarm that may be spent by each look, not falling

    >>> too_many([5.0, 10.0], [0.001, 0.025])
    [14, 18]
    """
    return [alarm.start for alarm in _alarms(expected, tails, _highest)]


def too_few(expected: Sequence[float], tails: Sequence[float]) -> list[int]:
    """Greatest counts that raise an alarm, at each look; -1 where none does.

    >>> too_few([5.0, 10.0], [0.001, 0.025])
    [-1, 3]
    """
    return [alarm.stop - 1 for alarm in _alarms(expected, tails, _lowest)]


@dataclass(frozen=True, slots=True)
class PlannedLooks:
    """Looks that were planned in advance, as far as they have come.

    drive_years  exposure by each look so far, the last one being this; not falling
    planned      how many looks there will be
    level        of the limits, at all of them together
    """

    drive_years: tuple[float, ...]
    planned: int
    level: float = 0.95

    def __post_init__(self) -> None:
        """Refuse looks that nobody planned."""
        check_level(self.level)
        years = self.drive_years
        if not all(0 <= each < math.inf for each in years) or any(b < a for a, b in pairwise(years)):
            raise QuestionError(
                f"Exposure by the looks of {', '.join(map(str, years))} drive-years cannot be; "
                "give numbers, 0 or more, of which none is below the one before."
            )
        if self.planned % 1:
            raise QuestionError(f"{self.planned} looks cannot be planned; give a whole number.")
        if not 1 <= len(self.drive_years) <= self.planned:
            raise QuestionError(
                f"Look {len(self.drive_years)} of {counted(self.planned, 'look')} was not planned; "
                "give the exposure of the first looks, one or more, up to this one."
            )

    @property
    def look(self) -> str:
        """Which look this is, as sentences say it."""
        return f"look {len(self.drive_years)} of {self.planned} planned"

    def interval(self, rate: Rate) -> Interval:
        """Every rate that raises no alarm at this look; without exposure (0, infinity).

        rate  failures by this look, in its exposure

        These are repeated confidence limits (Jennison & Turnbull 1989): at all planned looks together they miss the
        true rate with a chance of 1 - level at most.
        """
        years, failures = self.drive_years[-1], rate.failures
        if not years:
            return Interval(0.0, math.inf, self.level)
        tails = self._tails(1 - self.level)
        step = tails[-1] - (tails[-2] if len(tails) > 1 else 0.0)
        low = 0.0
        if failures:
            ends = mean_for_at_least(failures, step), mean_for_at_least(failures, tails[-1])
            low = _first_kept(*ends, lambda mean: too_many(self._by_look(mean), tails)[-1] <= failures)
        ends = mean_for_at_most(failures, step), mean_for_at_most(failures, tails[-1])
        high = _first_kept(*ends, lambda mean: too_few(self._by_look(mean), tails)[-1] >= failures)
        return Interval(low / years, high / years, self.level)

    def p_value(self, rate: Rate, per_year: float) -> float:
        """Find the least alpha with which a true rate would raise an alarm at this look; 1 without exposure."""
        if not self.drive_years[-1]:
            return 1.0
        by_look = self._by_look(per_year * self.drive_years[-1])

        def alarmed(alpha: float) -> bool:
            tails = self._tails(alpha)
            return (
                too_many(by_look, tails)[-1] <= rate.failures or too_few(by_look, tails)[-1] >= rate.failures
            )

        low, high = math.log(_NEGLIGIBLE), 0.0
        for _ in range(_HALVINGS):
            middle = (low + high) / 2
            low, high = (low, middle) if alarmed(math.exp(middle)) else (middle, high)
        return math.exp(high)

    def _tails(self, alpha: float) -> list[float]:
        """What each side may have spent by each look."""
        return [spent((look + 1) / self.planned, alpha / 2) for look in range(len(self.drive_years))]

    def _by_look(self, mean: float) -> list[float]:
        """Failures expected by each look, if so many are by this one."""
        return [mean * years / self.drive_years[-1] for years in self.drive_years]


def compare_planned(rate: Rate, stated: float, looks: PlannedLooks, *, ratio: float = RATIO) -> Comparison:
    """Compare an observed rate with a stated one, at one of several looks that were planned in advance.

    rate    failures by this look, in its exposure
    stated  failures per drive-year, above 0
    ratio   the excess that matters, as in `compare`

    The verdicts are those of `compare`, by the limits of this look. What further exposure it would take is reckoned for
    a single look, since the last of the planned ones is nearly that.

    >>> from reliability.rate import Rate
    >>> looks = PlannedLooks((500.0, 1000.0), planned=4)
    >>> found = compare_planned(Rate(26, 365_000), 0.01, looks)
    >>> found.verdict.value, found.look
    ('worse', 'look 2 of 4 planned')
    """
    check_stated(stated, ratio)
    if not math.isclose(looks.drive_years[-1], rate.drive_years, rel_tol=1e-6):
        raise QuestionError(
            f"The exposure by this look is {looks.drive_years[-1]:,g} drive-years in the plan, and "
            f"{rate.drive_years:,g} in the rate; give both in drive-years, and of the same days."
        )
    interval = looks.interval(rate)
    verdict = verdict_of(interval, stated, ratio)
    return Comparison(
        rate=rate,
        stated=stated,
        ratio=ratio,
        interval=interval,
        at_most=replace(looks, level=2 * looks.level - 1).interval(rate).high,
        p_value=looks.p_value(rate, stated),
        verdict=verdict,
        more_drive_years=(
            more_drive_years(rate, stated, looks.level, ratio) if verdict is Verdict.TOO_LITTLE else None
        ),
        look=looks.look,
    )


def _alarms(
    expected: Sequence[float], tails: Sequence[float], alarm_of: Callable[[Floats, float], slice]
) -> list[slice]:
    """Counts that raise an alarm at each look; those that do not are carried on to the next."""
    most = int(expected[-1] + _FURTHEST * math.sqrt(expected[-1]) + 5 * _FURTHEST)
    counts = np.arange(most + 1)
    alive, found, used = (counts == 0).astype(float), [], 0.0
    for before, mean, tail in zip((0.0, *expected), expected, tails, strict=False):
        more = np.exp(xlogy(counts, mean - before) - (mean - before) - gammaln(counts + 1))
        alive = np.convolve(alive, more)[: most + 1]
        alarm = alarm_of(alive, tail - used)
        used += float(alive[alarm].sum())
        alive[alarm] = 0.0
        found.append(alarm)
    return found


def _highest(alive: Floats, tail: float) -> slice:
    beyond = np.cumsum(alive[::-1])[::-1]
    return slice(int(np.count_nonzero(beyond > tail)), None)


def _lowest(alive: Floats, tail: float) -> slice:
    return slice(0, int(np.count_nonzero(np.cumsum(alive) <= tail)))


def _first_kept(out: float, kept: float, alarmed: Callable[[float], bool]) -> float:
    """First mean, on the way from one that raises an alarm to one beyond which none does, that raises none.

    Counts are whole, so on a short way alarms may come and go; where they first go is the limit.
    """
    if out == kept:
        return out
    ways: list[float] = np.linspace(out, kept, _SCANNED).tolist()
    place = next((at for at, mean in enumerate(ways) if not alarmed(mean)), len(ways) - 1)
    low, high = ways[max(place - 1, 0)], ways[place]
    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        low, high = (middle, high) if alarmed(middle) else (low, middle)
    return high
