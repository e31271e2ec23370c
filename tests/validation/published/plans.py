"""Published check values of sample sizes, test plans, spares and predictions, through our functions."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np
from published_values import rows_of

from reliability.planning.demonstration import drive_years_to_demonstrate, length_factor
from reliability.planning.fixed_length import FixedPlan
from reliability.planning.prediction import prediction_interval, upper_prediction
from reliability.planning.sequential import SequentialPlan
from reliability.planning.spares import chance_of_enough, spares_for
from reliability.planning.success_run import level_shown, reliability_shown, units_to_show
from reliability.planning.wald import WaldLines, expected_failures, wald_lines
from reliability.risk_table import risk_table
from reliability.survival.weibull import weibull
from reliability.survival.weibull_life import Weibull
from reliability.units import HOURS_PER_YEAR, rate_from_mtbf
from validation.published.checks import Checks

if TYPE_CHECKING:
    from validation.published.checks import Inputs, Values

OURS = Checks()


@OURS.computes("zero_fail_n")
def units_without_a_failure(given: Inputs) -> Values:
    return {f"{r:g}/{level:g}": units_to_show(r, level) for r, level in given["pairs_R_C"]}


@OURS.computes("zero_fail_298")
def confidence_of_a_success_run(given: Inputs) -> Values:
    return {f"c{units}": level_shown(units, given["R"]) for units in given["n"]}


@OURS.computes("zero_fail_30")
def reliability_of_a_success_run(given: Inputs) -> Values:
    return {"R": reliability_shown(given["n"], level=given["conf"])}


@OURS.computes("r_fail_n_95_95", "r_fail_n_90_90")
def units_with_failures(given: Inputs) -> Values:
    return {f"r{r}": units_to_show(given["R"], given["C"], failures=r) for r in given["r"]}


@OURS.computes("test_length_factors")
def lengths_of_a_test(given: Inputs) -> Values:
    return {f"r{r}_{level:g}": length_factor(r, level) for r in given["r"] for level in given["conf"]}


@OURS.computes("drive_hours_zero")
def hours_without_a_failure(given: Inputs) -> Values:
    rate = rate_from_mtbf(given["mtbf_h"])
    hours = {
        f"{100 * level:g}": HOURS_PER_YEAR * drive_years_to_demonstrate(rate, level=level)
        for level in given["conf"]
    }
    drives = {f"n{name}": math.ceil(value / given["test_h"]) for name, value in hours.items()}
    return {f"T{name}": value for name, value in hours.items()} | drives


@OURS.computes("weibull_zero")
def units_that_run_longer(given: Inputs) -> Values:
    return {
        f"L{lives}": units_to_show(given["R"], given["C"], lives=lives, shape=given["shape"])
        for lives in given["lives"]
    }


@OURS.computes("hdbk781_a")
def risks_of_fixed_plans(given: Inputs) -> Values:
    risks = {}
    for name, (ratio, length, at_most) in given["plans"].items():
        plan, short = FixedPlan(length, at_most), name.removesuffix("-D")
        risks[f"{short}_alpha"] = plan.chance_to_refuse(ratio)
        risks[f"{short}_beta"] = plan.chance_to_accept(1)
    return risks


def as_printed(lines: WaldLines, unit: float = 1.0) -> Values:
    return {"s": unit * lines.slope, "h0": unit * lines.to_accept, "h1": unit * lines.to_refuse}


@OURS.computes("sprt_d2_10")
def lines_of_a_sequential_test(given: Inputs) -> Values:
    return as_printed(wald_lines(given["d"], given["alpha"], given["beta"]))


@OURS.computes("sprt_d15_20")
def lines_of_two_sequential_tests(given: Inputs) -> Values:
    """The second in hours: its lower MTBF is 500 h."""
    first, second = (wald_lines(*case) for case in given["cases"])
    return {f"a_{k}": v for k, v in as_printed(first).items()} | {
        f"b_{k}": v for k, v in as_printed(second, 500).items()
    }


@OURS.computes("sprt_asn")
def failures_until_the_end(given: Inputs) -> Values:
    mean = expected_failures(given["d"], given["alpha"], given["beta"])
    return {"at_theta1": mean.at_lower, "at_theta0": mean.at_higher}


@OURS.computes("sprt_exact")
def chances_of_a_plan_cut_off(given: Inputs) -> Values:
    lines = WaldLines(given["s"], given["h0"], given["h1"])
    plan = SequentialPlan(lines, given["r_trunc"], given["T_trunc"])
    names = {1: "t1", 1.5: "t15", 2: "t2"}
    return {names[theta]: plan.operating(theta).accepted for theta in given["theta"]}


@OURS.computes("spares_quantiles")
def spares_on_the_shelf(given: Inputs) -> Values:
    return {
        f"m{mean:g}_{service:g}": spares_for(mean, service)
        for mean in given["mean"]
        for service in given["prob"]
    }


@OURS.computes("spares_fill")
def chances_that_spares_last(given: Inputs) -> Values:
    return {
        name: chance_of_enough(mean, spares)
        for name, (mean, spares) in zip("abc", given["pairs"], strict=True)
    }


@OURS.computes("pred_24_5")
def shutdowns_to_come(given: Inputs) -> Values:
    limits = {m: prediction_interval(given["x"], given["n"], m, 1 - 2 * given["tail"]) for m in given["m"]}
    return {f"L{m:g}": i.low for m, i in limits.items()} | {f"U{m:g}": i.high for m, i in limits.items()}


@OURS.computes("pred_zero")
def failures_to_come_after_none(given: Inputs) -> Values:
    return {f"U{m}": upper_prediction(given["x"], given["n"], m, 1 - given["tail"]) for m in given["m"]}


@OURS.computes("pred_fan_next1000")
def fans_that_fail_next(given: Inputs) -> Values:
    """Of those still running, by the fit: a plug-in figure, which is an estimate and no limit."""
    rows = rows_of(given["data"])
    ages = [float(row["hours"]) for row in rows]
    outcomes = ["failed" if row["status"] == "1" else "in service" for row in rows]
    fit = weibull(risk_table([0.0] * len(ages), ages, outcomes))
    assert isinstance(fit, Weibull)
    running = np.array([age for age, outcome in zip(ages, outcomes, strict=True) if outcome != "failed"])
    more = fit.integrated_hazard(running + given["ahead_h"]) - fit.integrated_hazard(running)
    return {"expected": float(-np.expm1(-more).sum())}
