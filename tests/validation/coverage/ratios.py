"""Limits of a ratio of two rates, and of rates at one mix of ages."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

from reliability.comparer.ratios import exact_ratio, ratio_by_age
from reliability.comparer.standardised import directly_standardised
from reliability.rate import Rate
from validation.coverage.study import Study
from validation.coverage.sums import Z, chance_of_two, holds

if TYPE_CHECKING:
    from collections.abc import Iterator

    from numpy.random import Generator

YEAR = 365


def two_rates() -> Iterator[Study]:
    """Exact limits, from few failures on either side."""
    yield from (_two_rates(first, second) for first, second in ((1, 1), (3, 3), (2, 10), (20, 20)))


def _two_rates(first: int, second: int) -> Study:
    truth = first / second

    def shortcut(x: int, y: int) -> bool:
        """The estimate and 1.96 standard errors; without a failure on a side there are none."""
        return bool(x and y) and abs(x / y - truth) <= Z * x / y * math.sqrt(1 / x + 1 / y)

    return Study(
        method="Ratio of two rates: exact limits",
        setting=f"{first} and {second} failures expected, equal exposure",
        nominal=0.95,
        covered=chance_of_two(
            first, second, lambda x, y: holds(exact_ratio(Rate(x, YEAR), Rate(y, YEAR)).interval, truth)
        ),
        simulations=0,
        control="estimate and 1.96 standard errors",
        control_covered=chance_of_two(first, second, shortcut),
    )


def by_age(rng: Generator, fleets: int) -> Iterator[Study]:
    """A model of old drives against one of young drives, when failures grow with age."""
    rates = np.array([0.01, 0.02, 0.06])  # a year, by band of age
    for scale in (1, 4):
        old, young = scale * np.array([100, 300, 500]), scale * np.array([900, 400, 100])
        ratio, held, crude, seen = 1.5, 0, 0, 0
        for x, y in zip(
            rng.poisson(ratio * rates * old, (fleets, 3)),
            rng.poisson(rates * young, (fleets, 3)),
            strict=True,
        ):
            first = [Rate(int(n), YEAR * t) for n, t in zip(x, old.tolist(), strict=True)]
            second = [Rate(int(n), YEAR * t) for n, t in zip(y, young.tolist(), strict=True)]
            if (found := ratio_by_age(first, second)) is None:
                continue  # fewer than 5 failures on a side: declined
            seen += 1
            held += holds(found.interval, ratio)
            crude += holds(exact_ratio(sum(first, Rate(0, 0)), sum(second, Rate(0, 0))).interval, ratio)
        expected = (float(rates @ old) * ratio, float(rates @ young))
        yield Study(
            method="Ratio within bands of age: Mantel-Haenszel limits",
            setting=f"{expected[0]:.0f} and {expected[1]:.0f} failures expected, the first model older",
            nominal=0.95,
            covered=held / seen,
            simulations=seen,
            control="exact limits of the ratio without regard to age",
            control_covered=crude / seen,
            tolerated=0.005,
        )


def standardised(rng: Generator, fleets: int) -> Iterator[Study]:
    """Gamma limits where a band with few drives weighs much."""
    rates = np.array([0.01, 0.02, 0.06])
    standard = [100.0, 300.0, 600.0]
    truth = float(rates @ standard) / 1_000
    for scale in (0.3, 1, 5):
        exposure = scale * np.array([200.0, 80.0, 30.0])
        weights = np.array(standard) / 1_000 / exposure
        held = shortcut = 0
        for x in rng.poisson(rates * exposure, (fleets, 3)):
            bands = [Rate(int(n), YEAR * t) for n, t in zip(x, exposure.tolist(), strict=True)]
            found = directly_standardised(bands, standard)
            held += holds(found.interval, truth)
            shortcut += abs(found.per_year - truth) <= Z * math.sqrt(float(weights**2 @ x))
        yield Study(
            method="Rate at a standard mix of ages: Fay-Feuer limits",
            setting=f"{float(rates @ exposure):.1f} failures expected in three bands of age",
            nominal=0.95,
            covered=held / fleets,
            simulations=fleets,
            control="estimate and 1.96 standard errors",
            control_covered=shortcut / fleets,
        )
