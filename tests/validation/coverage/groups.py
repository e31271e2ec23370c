"""Limits and verdicts over several groups: batches, models side by side, many verdicts at once."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from scipy.optimize import minimize
from scipy.special import gammaincinv

from reliability.comparer.batches import spread
from reliability.comparer.holm import holm
from reliability.comparer.shrinkage import log_likelihood, shrink
from reliability.poisson import doubled_p_value
from reliability.rate import Rate
from validation.coverage.study import Study
from validation.coverage.sums import holds

if TYPE_CHECKING:
    from collections.abc import Iterator

    from numpy.random import Generator
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

YEAR = 365
FRAILTY = 0.3  # variance of the batches' rates, as part of their mean squared


def batches(rng: Generator, fleets: int) -> Iterator[Study]:
    """Batches that truly differ: limits for the model, which will come in other batches too."""
    for groups, expected in ((5, 40), (10, 40), (30, 150)):
        each = expected / groups
        held = exact = seen = 0
        for frailty in rng.gamma(1 / FRAILTY, FRAILTY, (fleets, groups)):
            rates = [Rate(int(x), YEAR * each) for x in rng.poisson(each * frailty)]
            if sum(rate.failures for rate in rates) < 5:
                continue  # too few to see a spread
            found = spread("batch", rates, rng=rng, draws=1)
            seen += 1
            held += holds(found.interval, 1.0)
            exact += holds(found.rate.interval(), 1.0)
        yield Study(
            method="Batches: the wider of exact and quasi-Poisson limits",
            setting=f"{groups} batches of frailty variance {FRAILTY}, {expected} failures expected",
            nominal=0.95,
            covered=held / seen,
            simulations=seen,
            control="exact limits, batches ignored",
            control_covered=exact / seen,
            tolerated=0.02,
        )


def shrunk(rng: Generator, fleets: int) -> Iterator[Study]:
    """Models of very different exposure, whose true rates spread by 40 % of their mean."""
    for models in (6, 20):
        held = plugged = 0
        for _ in range(fleets):
            truth = 0.01 * rng.gamma(1 / 0.16, 0.16, models)
            exposure = np.exp(rng.uniform(np.log(20), np.log(20_000), models))
            failures = rng.poisson(truth * exposure).astype(float)
            rates = [Rate(int(x), YEAR * t) for x, t in zip(failures, exposure, strict=True)]
            found = shrink(rates, rng=rng, draws=10)
            held += sum(holds(one.interval, rate) for one, rate in zip(found, truth, strict=True))
            low, high = plug_in(failures, exposure)
            plugged += int(((low <= truth) & (truth <= high)).sum())
        yield Study(
            method="Shrunk rates: averaged over mean and spread",
            setting=f"{models} models of 20 to 20,000 drive-years, true rates of cv 0.4",
            nominal=0.95,
            covered=held / (fleets * models),
            simulations=fleets * models,
            control="limits at the one most likely mean and spread",
            control_covered=plugged / (fleets * models),
            tolerated=0.01,
        )


def plug_in(failures: Floats, exposure: Floats) -> tuple[Floats, Floats]:
    """Limits at the one most likely mean and cv, as if they were known."""

    def unlikely(at: Floats) -> float:
        return -float(log_likelihood(failures, exposure, np.exp(at[0]), np.exp(at[1])))

    middle = np.log(failures.sum() / exposure.sum())
    bounds = [(middle - 3, middle + 3), (np.log(0.01), np.log(3))]
    fits = [minimize(unlikely, [middle, np.log(cv)], method="L-BFGS-B", bounds=bounds) for cv in (0.1, 0.5)]
    mean, cv = np.exp(min(fits, key=lambda fit: float(fit.fun)).x)
    a, b = 1 / cv**2, 1 / cv**2 / mean
    low, high = (gammaincinv(a + failures, tail) / (b + exposure) for tail in (0.025, 0.975))
    return low, high


def verdicts(rng: Generator, fleets: int) -> Iterator[Study]:
    """Models that all keep their stated rate: how often none of them is called worse or better."""
    for models in (5, 20):
        clear = alone = 0
        for expected in rng.uniform(2, 30, (fleets, models)):
            failures = rng.poisson(expected)
            found = [doubled_p_value(int(x), m) for x, m in zip(failures, expected.tolist(), strict=True)]
            alone += all(p >= 0.05 for p in found)
            clear += all(p is None or p >= 0.05 for p in holm(found))
        yield Study(
            method="Verdicts on many models: none wrong, after Holm",
            setting=f"{models} models at their stated rates, 2 to 30 failures expected of each",
            nominal=0.95,
            covered=clear / fleets,
            simulations=fleets,
            control="each model on its own figures",
            control_covered=alone / fleets,
        )
