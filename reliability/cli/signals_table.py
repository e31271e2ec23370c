"""The tables of `driveyears signals`, and what is to be said below them."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from reliability.cli.output import out, write_table
from reliability.cli.rating_table import write_within
from reliability.cli.signal_words import SIGNAL_WORDS, Words
from reliability.cli.warnings_table import write_warnings
from reliability.cli.words import exposure, limits, percent_or_dash
from reliability.digits import LIMIT_DIGITS, counted, significant, years_at_risk
from reliability.loaders.signals import EXPOSED, NOT_RATED, RATED_SIGNALS, STATES
from reliability.rate import Rate
from reliability.signals.hazard_ratio import HazardRatio

if TYPE_CHECKING:
    from collections.abc import Sequence

    from reliability.cli.associations import Association
    from reliability.cli.within_rating import WithinRating
    from reliability.comparer.ratios import Ratio

MUCH_LEFT_OUT = 0.1  # of the failures


def write_signals(found: Sequence[Association], within: Sequence[WithinRating], level: float) -> None:
    """Rates by state, warnings, and the models within their rating; what was never reported is named."""
    if not any(each.history.cells for each in found):
        out().print(
            "No drive was seen in this window; `driveyears rates --by quarter` tells what the data hold."
        )
        return
    reported = [each for each in found if each.reported]
    unrated = [each for each in found if not each.reported and each.rate(NOT_RATED).drive_days]
    silent = [_words(each).name for each in found if not each.reported and each not in unrated]
    if reported:
        _write_states(reported, level)
        _write_below_states(reported)
        write_warnings([(_words(each).name, each.warnings) for each in reported if each.warnings is not None])
    else:
        out().print(
            "No drive of this window reported a health counter; name the columns in a mapping, under \\[columns]."
        )
    if reported and silent:
        out().print(f"Never reported: {', '.join(silent)}.")
    if unrated:
        names = ", ".join(_words(each).name for each in unrated)
        out().print(f"No datasheet states a rating of these models for: {names}.")
    if not any(each.history.signal in RATED_SIGNALS for each in found):
        out().print("Temperature and workload are held against a rating: give --datasheets.")
    if within:
        write_within(within, level)
    if reported or within:
        out().print(CAUTION)


def _words(found: Association) -> Words:
    return SIGNAL_WORDS[found.history.signal]


def _write_states(found: Sequence[Association], level: float) -> None:
    rows = [row for each in found for row in _state_rows(each, level)]
    write_table(
        "Failures by what was known of the drive when the day began",
        [
            ("Signal", "left"),
            ("State", "left"),
            ("Failures", "right"),
            ("Drive-years", "right"),
            ("Rate per year (95 %)", "right"),
            ("Times (95 %)", "right"),
            ("By Cox (95 %)", "right"),
            ("The two ways", "left"),
        ],
        rows,
    )


def _state_rows(found: Association, level: float) -> list[list[str]]:
    """A row a state that has exposure; the exposed one always, for it bears the ratios."""
    words = _words(found)
    shown = [state for state in STATES if found.rate(state).drive_days or state == EXPOSED]
    return [
        [
            words.name if state == shown[0] else "",
            words.state(state),
            f"{rate.failures:,}",
            exposure(rate),
            f"{percent_or_dash(rate.per_year)} {limits(rate, level)}",
            *(_times(found) if state == EXPOSED else ("", "", "")),
        ]
        for state in shown
        for rate in (found.rate(state),)
    ]


def _times(found: Association) -> tuple[str, str, str]:
    """The ratio by rates, or where it is refused the crude one, marked; by Cox; and whether these agree."""
    by_rates, by_cox = found.by_rates, found.by_cox
    if isinstance(by_rates, HazardRatio):
        times = str(by_rates)
    else:
        times = "-" if found.crude is None or found.crude.value is None else f"crude {_crude(found.crude)}"
    cox = str(by_cox) if isinstance(by_cox, HazardRatio) else "-"
    return times, cox, "-" if found.agree is None else "agree" if found.agree else "disagree"


def _crude(ratio: Ratio) -> str:
    low = significant(ratio.interval.low, LIMIT_DIGITS)
    if ratio.value is None or math.isinf(ratio.value):
        return f"{low} or more"
    return f"{significant(ratio.value)} ({low}-{significant(ratio.interval.high, LIMIT_DIGITS)})"


def _write_below_states(found: Sequence[Association]) -> None:
    """What the ratios mean, where the two ways part, what was refused, and what has no known age."""
    out().print(RATIOS_MEAN)
    for each in found:
        if each.agree is False:
            out().print(
                f"{_words(each).name}: the two ways disagree; rates by age differ between models, or the ratio changes "
                "with age. Look at one model at a time with --model."
            )
        elif each.refused is not None:
            out().print(f"{_words(each).name}: no ratio {_missing(each)}. {each.refused}", markup=False)
    total = sum((each.rate for each in found[0].history.cells), Rate(0, 0))
    ageless = found[0].history.of_unknown_age
    if ageless.drive_days:
        out().print(
            f"Of unknown age, and only in the plain and crude rates: {years_at_risk(ageless.drive_years)}, "
            f"{counted(ageless.failures, 'failure')}."
        )
    if ageless.failures > MUCH_LEFT_OUT * total.failures:
        out().print("Warning: they hold over 10 % of the failures, so what allows for age may mislead.")


def _missing(found: Association) -> str:
    """Which of the two ways was refused."""
    ways = {"by rates": found.by_rates, "by Cox": found.by_cox}
    there = [isinstance(way, HazardRatio) for way in ways.values()]
    return "at like ages and models" if not any(there) else list(ways)[there.index(False)]


RATIOS_MEAN = (
    "Times: how many times as often drives fail in the second state as in the first, at like ages and models, by "
    "rates (Poisson regression); by Cox: the same, drive against drive of one model and age. Crude: ages and models "
    "not allowed for. A reading counts from the day after it."
)
CAUTION = (
    "What goes with failure need not cause it: drives were not put into these states by lot. These rates describe "
    "fleets; they predict no single drive. Redundancy is no backup."
)
