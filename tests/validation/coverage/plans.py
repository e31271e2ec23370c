"""Plans keep their word: the chance of an answer that they state, by walking through every count."""

from __future__ import annotations

from typing import TYPE_CHECKING

from reliability.comparer.stated import Verdict, verdict_of
from reliability.planning.demonstration import drive_years_to_demonstrate, failures_allowed
from reliability.planning.needed import needed
from reliability.poisson import garwood_interval
from validation.coverage.study import Study
from validation.coverage.sums import chance

if TYPE_CHECKING:
    from collections.abc import Iterator

DEFINITE = (Verdict.CONSISTENT, Verdict.BETTER)
WORSE = (Verdict.WORSE,)


def exposure_needed() -> Iterator[Study]:
    """The exposure that an answer is said to take; four fifths of it are the control."""
    takes = needed(1.0)

    def answered(expected: float, times: float, wanted: tuple[Verdict, ...]) -> float:
        return chance(times * expected, lambda x: verdict_of(garwood_interval(x) / expected, 1.0) in wanted)

    for what, setting, expected, times, wanted in (
        ("found to be worse", "a model that fails twice as often as stated", takes.to_detect, 2.0, WORSE),
        ("called consistent", "a model at its stated rate", takes.to_call_consistent, 1.0, DEFINITE),
    ):
        enough = expected * (1 + 1e-9)
        yield Study(
            method=f"Exposure needed: {what}",
            setting=f"{setting}, {expected:.1f} failures expected at the stated rate",
            nominal=0.8,
            covered=min(answered(enough * more, times, wanted) for more in (1, 1.05, 1.1, 1.15, 1.2)),
            simulations=0,
            control="four fifths of that exposure",
            control_covered=answered(0.8 * enough, times, wanted),
        )


def demonstration() -> Iterator[Study]:
    """Drives just at the rate that is to be shown must not pass."""
    yield from map(_demonstration, (0, 1, 3))


def _demonstration(allowed: int) -> Study:
    stated = 0.0035
    years = drive_years_to_demonstrate(stated, failures=allowed) * (1 + 1e-9)
    most = failures_allowed(stated, years)
    if most is None:
        raise AssertionError(f"{years} drive-years allow no failure, not {allowed}")
    return Study(
        method="Demonstration test: drives at the limit do not pass",
        setting=f"failures allowed: {allowed}, in {years:,.0f} drive-years at 0.35 %",
        nominal=0.95,
        covered=chance(stated * years, lambda x: x > most),
        simulations=0,
        control="pass if the estimate is not above the rate",
        control_covered=chance(stated * years, lambda x: x > stated * years),
    )
