"""Every published check value of counts and rates, through our functions; references/README.md tells of them."""

from __future__ import annotations

import math
from itertools import pairwise
from typing import TYPE_CHECKING

from published_values import rows_of

from reliability.comparer.stated import compare
from reliability.datasheet import Datasheet
from reliability.poisson import (
    chance_of_at_least,
    chance_of_at_most,
    garwood_interval,
    lower_limit,
    mean_for_at_least,
    upper_limit,
)
from reliability.rate import Rate
from reliability.units import HOURS_PER_DAY, HOURS_PER_YEAR, mtbf_from_rate, rate_from_mtbf
from validation.published.checks import Checks

if TYPE_CHECKING:
    from validation.published.checks import Inputs, Values

OURS = Checks()


def in_hours(failures: int, hours: float) -> Rate:
    return Rate(failures, hours / HOURS_PER_DAY)


@OURS.computes("pois95_0_10", "pois90_large", "pois99_small")
def limits_of_counts(given: Inputs) -> Values:
    limits = {x: garwood_interval(x, given["conf"]) for x in given["x"]}
    return {f"lo{x}": i.low for x, i in limits.items()} | {f"hi{x}": i.high for x, i in limits.items()}


@OURS.computes("pois_zero_onesided95")
def zero_one_sided(given: Inputs) -> Values:
    return {"hi": upper_limit(given["x"], given["conf_one_sided"])}


@OURS.computes("rate_welsh_nickel")
def standardised_ratio(given: Inputs) -> Values:
    limits = garwood_interval(given["x"]) / given["T"]
    return {"rate": given["x"] / given["T"], "lo": limits.low, "hi": limits.high}


@OURS.computes("nist_800h_2f", "ross_143c_nist", "genfan_exp")
def mtbf_limits(given: Inputs) -> Values:
    """The rule for a test ended by time, 2r + 2 and 2r degrees of freedom: ours."""
    hours, failures = given.get("T"), given.get("r")
    if hours is None or failures is None:
        rows = rows_of(given["data"])
        hours, failures = sum(float(row["hours"]) for row in rows), sum(int(row["status"]) for row in rows)
    rate = in_hours(failures, hours)
    mtbf, limits = mtbf_from_rate(rate.per_year or 0), rate.mtbf_interval(given["conf"])
    return {"mtbf": mtbf, "mttf": mtbf, "lo": limits.low, "hi": limits.high, "T": hours, "r": failures}


@OURS.computes("nist_factors", "nist_factors80")
def mtbf_factors(given: Inputs) -> Values:
    limits = {r: garwood_interval(r, given["conf"]) for r in given["r"]}
    return {f"lo{r}": r / i.high for r, i in limits.items()} | {
        f"hi{r}": r / i.low for r, i in limits.items()
    }


@OURS.computes("nist_zero_fails")
def mtbf_without_a_failure(given: Inputs) -> Values:
    rate = in_hours(0, given["T"])
    return {
        f"a{100 * alpha:02.0f}": mtbf_from_rate(rate.upper_one_sided(1 - alpha)) for alpha in given["alpha"]
    }


@OURS.computes("ross_143c")
def mtbf_limits_of_a_textbook(given: Inputs) -> Values:
    """Not our rule: 2r degrees of freedom on both sides, as for a test ended by a failure."""
    failures, tail = given["r"], (1 - given["conf"]) / 2
    return {
        "lo": given["T"] / mean_for_at_least(failures, 1 - tail),
        "hi": given["T"] / mean_for_at_least(failures, tail),
    }


@OURS.computes("fit60_table")
def chi_square_quantiles(given: Inputs) -> Values:
    return {f"r{r}": 2 * upper_limit(r, given["conf"]) for r in given["r"]}


@OURS.computes("fit60_rates")
def failures_in_a_billion_hours(given: Inputs) -> Values:
    rates = [in_hours(given["r"], hours).upper_one_sided(given["conf"]) for hours in given["device_hours"]]
    return {name: 1e9 * rate / HOURS_PER_YEAR for name, rate in zip("AB", rates, strict=True)}


@OURS.computes("afr_2p5M", "afr_1M", "afr_1p5M", "afr_1p2M")
def afr_of_mtbf(given: Inputs) -> Values:
    """`exponential` is the chance of a failure within a year, which we never call AFR."""
    rate = Datasheet("T", mtbf_hours=given["mtbf_h"]).stated_rate
    return {"linear": 100 * rate, "exponential": 100 * chance_of_at_least(1, rate), "years": 1 / rate}


@OURS.computes("afr_duty")
def afr_by_hours_run(given: Inputs) -> Values:
    rate = rate_from_mtbf(given["mtbf_h"])
    return {f"h{hours}": 100 * rate * hours / HOURS_PER_YEAR for hours in given["poh_per_year"]}


@OURS.computes("afr_300k_8766")
def afr_of_a_longer_year(given: Inputs) -> Values:
    """Not our year, which has 8760 hours."""
    rate = rate_from_mtbf(given["mtbf_h"]) * given["year_h"] / HOURS_PER_YEAR
    return {"exact": 100 * chance_of_at_least(1, rate), "approx": 100 * rate}


@OURS.computes("afr_roundtrip")
def mtbf_of_afr(given: Inputs) -> Values:
    def mtbf(percent: float, afr_is: str) -> float:
        return mtbf_from_rate(Datasheet("T", afr_percent=percent, afr_is=afr_is).stated_rate)

    kinds = {"lin": "rate", "exp": "probability"}
    return {f"{short}{p:g}": mtbf(p, kind) for p in given["afr_percent"] for short, kind in kinds.items()}


@OURS.computes("fleet_20000")
def expected_in_a_year(given: Inputs) -> Values:
    stated = Datasheet("T", mtbf_hours=given["mtbf_h"]).stated_rate
    return {"failures": compare(Rate(0, 365 * given["drives"]), stated).expected_failures}


@OURS.computes("boice_exposed")
def observed_against_expected(given: Inputs) -> Values:
    """`p_minlike` is not our p-value: it adds all counts no likelier than the observed one, on both sides."""
    failures, expected = given["x"], given["expected"]
    comparison = compare(Rate(failures, 365 * expected), 1.0)
    at_most = [chance_of_at_most(k, expected) for k in range(failures + 1)]
    chances = [more - less for less, more in pairwise([0.0, *at_most])]
    low_side = max(k for k in range(int(expected)) if chances[k] <= chances[failures])
    at_least = chance_of_at_least(failures, expected)
    return {
        "ratio": comparison.rate.per_year or 0,
        "lo": comparison.interval.low,
        "hi": comparison.interval.high,
        "p_greater": at_least,
        "p_doubled": comparison.p_value,
        "p_minlike": at_least + at_most[low_side],
    }


@OURS.computes("ross_143d")
def claimed_mean_life(given: Inputs) -> Values:
    rate = in_hours(given["x"], given["T"])
    expected = compare(rate, rate_from_mtbf(given["claimed_mean_h"])).expected_failures
    return {"mean": expected, "p": chance_of_at_least(given["x"], expected)}


@OURS.computes("datasheet_critical")
def counts_that_refute(given: Inputs) -> Values:
    def least(mean: float) -> int:
        return next(k for k in range(100) if lower_limit(k, 1 - given["alpha"]) > mean)

    return {f"m{mean:g}": least(mean) for mean in given["stated_mean"]}


@OURS.computes("welsh_p")
def far_tail(given: Inputs) -> Values:
    return {"logp": math.log(chance_of_at_least(given["x"], given["expected"]))}
