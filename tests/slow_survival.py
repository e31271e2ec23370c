"""Survival the plain way: life by life, day by day, straight from the definitions.

A life is (entry, exit, outcome), ages in whole days. Nothing here is shared with the package.

>>> LIVES = [(0, 3, "failed"), (0, 5, "failed"), (0, 5, "retired"), (4, 9, "failed")]
>>> [round(step.survival, 3) for step in kaplan_meier(LIVES, 0)]
[0.667, 0.444, 0.0]
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import groupby
from statistics import NormalDist
from typing import NamedTuple

import numpy as np
from scipy.optimize import brentq, minimize_scalar

Life = tuple[int, int, str]
CAUSES = ("failed", "retired", "vanished")


@dataclass(frozen=True, slots=True)
class Step:
    """Survival after a failure age; None where it has no limits."""

    age: int
    at_risk: int
    failures: int
    survival: float
    error: float | None
    low: float | None
    high: float | None


def at_risk(lives: list[Life], age: float) -> int:
    """Count the lives with entry < age <= exit."""
    return sum(entry < age <= end for entry, end, _ in lives)


def ended(lives: list[Life], age: int, *outcomes: str) -> int:
    """Count the lives that ended so at an age."""
    return sum(end == age and outcome in outcomes for _, end, outcome in lives)


def ages_of(lives: list[Life], start: float, *outcomes: str) -> list[int]:
    """List the ages after a start at which lives ended so."""
    return sorted({end for _, end, outcome in lives if outcome in outcomes and end > start})


def start(lives: list[Life]) -> tuple[int, int, int]:
    """Find age and end of the days on which enough are at risk, and how many that is.

    Days with enough at risk are taken in unbroken runs. The run with most failures counts, then the one with
    most drive-days, then the first. 10 are enough, or if none of them sees a failure although there is one, 2, 1.
    """
    last = max(end for _, end, _ in lives)
    failed = {day: ended(lives, day, "failed") for day in range(1, last + 1)}
    many = {day: at_risk(lives, day) for day in range(1, last + 1)}
    for least in (10, 2, 1):
        runs = [list(days) for enough, days in groupby(many, lambda day: many[day] >= least) if enough]  # noqa: B023
        ranked = [(sum(failed[d] for d in run), sum(many[d] for d in run), -run[0]) for run in runs]
        if runs and (max(ranked)[0] or not any(failed.values())):
            best = runs[ranked.index(max(ranked))]
            return best[0] - 1, best[-1], least
    raise AssertionError("no lives")


def kaplan_meier(lives: list[Life], begin: float, level: float = 0.95) -> list[Step]:
    """Multiply up the survival, with Greenwood's error and log-log limits."""
    z = NormalDist().inv_cdf((1 + level) / 2)
    steps, survival, greenwood = [], 1.0, 0.0
    for age in ages_of(lives, begin, "failed"):
        n, d = at_risk(lives, age), ended(lives, age, "failed")
        survival *= (n - d) / n
        if survival == 0:
            steps.append(Step(age, n, d, 0.0, None, None, None))
            continue
        greenwood += d / (n * (n - d))
        width = z * math.sqrt(greenwood) / math.log(survival)
        low, high = (survival ** math.exp(sign * width) for sign in (-1, 1))
        steps.append(Step(age, n, d, survival, survival * math.sqrt(greenwood), low, high))
    return steps


def unfailed_low(lives: list[Life], begin: float, age: float, until: float, most: float) -> float:
    """Lower limit of survival to an age when nothing failed up to `until`: the best of all later exposures."""
    hazards = []
    for end in [age, *range(math.floor(age) + 1, math.floor(until) + 1)]:
        days = sum(max(0.0, min(end, last) - max(begin, first)) for first, last, _ in lives)
        hazards.append(most * (end - begin) / days)
    return math.exp(-min(hazards))


def nelson_aalen(lives: list[Life], begin: float) -> list[tuple[int, float, float]]:
    """Sum up the hazard: age, hazard, standard error."""
    hazard = variance = 0.0
    summed = []
    for age in ages_of(lives, begin, "failed"):
        n, d = at_risk(lives, age), ended(lives, age, "failed")
        hazard, variance = hazard + d / n, variance + d / n**2
        summed.append((age, hazard, math.sqrt(variance)))
    return summed


class Incidence(NamedTuple):
    """Share that has left by a cause by an age, with its standard error."""

    age: int
    share: float
    error: float


def incidence(lives: list[Life], cause: str, begin: float) -> list[Incidence]:
    """Sum up the incidence of one cause; the variance by the delta method, term by term."""
    before, shares, terms = 1.0, [], []
    total, found = 0.0, []
    for age in ages_of(lives, begin, *CAUSES):
        n, d, left = at_risk(lives, age), ended(lives, age, cause), ended(lives, age, *CAUSES)
        total += before * d / n
        shares.append(total)
        terms.append((n, d, left, before))
        variance = 0.0
        for share, (n_s, d_s, left_s, before_s) in zip(shares, terms, strict=True):
            if left_s < n_s:
                variance += (total - share) ** 2 * left_s / (n_s * (n_s - left_s))
            variance += before_s**2 * (n_s - d_s) / n_s * d_s / n_s**2
            variance -= 2 * (total - share) * before_s * d_s / n_s**2
        found.append(Incidence(age, total, math.sqrt(max(variance, 0.0))))
        before *= (n - left) / n
    return found


def band(lives: list[Life], begin: float, end: float) -> tuple[int, float]:
    """Count failures and drive-days at ages in (begin, end]."""
    failures = sum(outcome == "failed" and begin < last <= end for _, last, outcome in lives)
    return failures, sum(max(0.0, min(last, end) - max(first, begin)) for first, last, _ in lives)


def logrank(groups: list[list[Life]]) -> tuple[list[float], float]:
    """Expected failures in each group, and the statistic; all groups must meet."""
    everyone = [life for group in groups for life in group]
    excess, expected = np.zeros(len(groups)), np.zeros(len(groups))
    variance = np.zeros((len(groups), len(groups)))
    for age in ages_of(everyone, 0, "failed"):
        n, d = at_risk(everyone, age), ended(everyone, age, "failed")
        share = np.array([at_risk(group, age) / n for group in groups])
        expected += d * share
        excess += [ended(group, age, "failed") - d * part for group, part in zip(groups, share, strict=True)]
        if n > 1:
            spread = d * (n - d) / (n - 1)
            for i in range(len(groups)):
                for j in range(len(groups)):
                    variance[i, j] += spread * share[i] * ((i == j) - share[j])
    inner = np.linalg.solve(variance[1:, 1:], excess[1:])
    return expected.tolist(), float(excess[1:] @ inner)


class WeibullLives:
    """The Weibull likelihood, one term a life; a failure is `early` days before its exit."""

    def __init__(self, lives: list[Life], early: float = 0.0) -> None:
        self.entry = np.array([life[0] for life in lives], dtype=float)
        self.failed = np.array([life[2] == "failed" for life in lives])
        self.exit = np.array([life[1] for life in lives], dtype=float) - early * self.failed

    def log_likelihood(self, log_shape: float, log_scale: float) -> float:
        """Log density of the failures, less the hazard that each life went through."""
        k, entered = math.exp(log_shape), self.entry > 0
        with np.errstate(over="ignore", invalid="ignore"):  # parameters far off: no likelihood at all
            through = np.exp(k * (np.log(self.exit) - log_scale))
            through[entered] -= np.exp(k * (np.log(self.entry[entered]) - log_scale))
        if not np.isfinite(through).all():
            return -math.inf
        ages = np.log(self.exit[self.failed])
        return float((log_shape - k * log_scale + (k - 1) * ages).sum() - through.sum())

    def best(self) -> tuple[float, float, float]:
        """Log shape and log scale of the largest likelihood, and that: a search within a search."""

        def over_scales(log_shape: float) -> float:
            return self._best_scale(log_shape)[1]

        found = minimize_scalar(lambda s: -over_scales(s), bounds=(-4, 5), options={"xatol": 1e-10})
        log_shape = float(found.x)
        return log_shape, self._best_scale(log_shape)[0], -float(found.fun)

    def _best_scale(self, log_shape: float) -> tuple[float, float]:
        """For one shape the best scale is the root of failures = integrated hazard."""
        k = math.exp(log_shape)
        top = math.log(self.exit.max())
        powers = np.exp(k * (np.log(self.exit) - top))
        entered = self.entry > 0
        total = powers.sum() - np.exp(k * (np.log(self.entry[entered]) - top)).sum()
        log_scale = top + math.log(total / self.failed.sum()) / k
        return log_scale, self.log_likelihood(log_shape, log_scale)

    def shape_limits(self, drop: float) -> tuple[float, float]:
        """Shapes at which the best likelihood has fallen by `drop`."""
        log_shape, _, highest = self.best()

        def left(other: float) -> float:
            return self._best_scale(other)[1] - highest + drop

        low, high = (math.exp(brentq(left, log_shape, log_shape + way)) for way in (-4, 4))
        return low, high

    def quantile_limits(self, share: float, drop: float) -> tuple[float, float]:
        """Ages by which a share fails at which the best likelihood over all shapes has fallen by `drop`."""
        log_shape, log_scale, highest = self.best()
        log_q = math.log(-math.log1p(-share))

        def left(log_age: float) -> float:
            def worse(other: float) -> float:
                return -self.log_likelihood(other, log_age - log_q / math.exp(other))

            near = np.linspace(log_shape - 3, log_shape + 2.5, 111)
            place = int(np.argmin([worse(other) for other in near]))
            bounds = (near[max(place - 1, 0)], near[min(place + 1, 110)])
            found = minimize_scalar(worse, bounds=bounds, method="bounded", options={"xatol": 1e-10})
            return -float(found.fun) - highest + drop

        log_age = log_scale + log_q / math.exp(log_shape)
        limits = []
        for way in (-1, 1):
            far = 0.1
            while left(log_age + way * far) > 0:
                far *= 2
            limits.append(math.exp(brentq(left, log_age, log_age + way * far, xtol=1e-10)))
        return limits[0], limits[1]
