"""Every study by field, and how many fleets each draws."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from numpy.random import default_rng

from validation.coverage import counts, fits, forecasts, groups, lives, looks, plans, ratios, signals

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from numpy.random import Generator

    from validation.coverage.study import Study

    Exact = Callable[[], Iterator[Study]]
    Simulated = Callable[[Generator, int], Iterator[Study]]

SEED = 2026
MANY = 20_000  # fleets: the standard error of 95 % is then 0.15 %
SMALL = 25  # the tests draw so many times fewer


@dataclass(frozen=True, slots=True)
class Field:
    """Studies without chance, and those by simulation with the number of fleets that each draws for the page.

    keeps  whether the methods keep what they state; where they are known not to, the page has to show it
    """

    name: str
    title: str
    exact: tuple[Exact, ...] = ()
    simulated: dict[Simulated, int] = field(default_factory=dict)
    keeps: bool = True

    def studies(self, times_fewer: int = 1) -> list[Study]:
        """All of them; with `times_fewer` fleets."""
        found = [each for study in self.exact for each in study()]
        for study, fleets in self.simulated.items():
            found += drawn(study, fleets // times_fewer)
        return found


def drawn(study: Simulated, fleets: int) -> list[Study]:
    """A study by simulation, with a seed of its own, so that none depends on which others are run."""
    return list(study(default_rng([SEED, *study.__name__.encode()]), fleets))


FIELDS = (
    Field(
        "rates",
        "rates and counts",
        exact=(
            counts.one_rate,
            counts.one_rate_anywhere,
            counts.at_most,
            counts.mtbf,
            counts.vanished,
            counts.to_come,
            counts.rebuild,
        ),
    ),
    Field("ratios", "two rates", (ratios.two_rates,), {ratios.by_age: MANY, ratios.standardised: MANY}),
    Field(
        "groups",
        "batches and many models",
        (),
        {groups.batches: MANY, groups.shrunk: 250, groups.verdicts: MANY},
    ),
    Field(
        "survival",
        "survival and hazard",
        (),
        {
            lives.survival: 5_000,
            lives.few_failures: 5_000,
            lives.incidence: 5_000,
            lives.bands: 5_000,
            lives.alike: 5_000,
        },
    ),
    Field("weibull", "Weibull life", (), {fits.weibull_life: 3_000}),
    Field("looks", "repeated looks", (looks.every_look, looks.planned_looks)),
    Field("forecasts", "failures to come", (), {forecasts.to_come: 1_000}),
    Field(
        "breaking", "where limits of failures to come break", (), {forecasts.unseen_rise: 400}, keeps=False
    ),
    Field("signals", "signals", (), {signals.hazard_ratio: 2_000}),
    Field("plans", "plans", (plans.exposure_needed, plans.demonstration)),
)
