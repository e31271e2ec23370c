"""Every published value of Weibull fits and of repairs, through our functions.

Repairs of one system recur, and a life ends once. But a system seen through its repairs is a chain of lives, each
of which begins where the last one failed. So the recurrent entries are checked as chains where they ask for
something that we compute; what they ask for beyond it is left out below, with the reason.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

from published_values import rows_of
from scipy.stats import norm

from reliability.risk_table import RiskTable, risk_table
from reliability.survival.chi_square import ChiSquareTest
from reliability.survival.weibull import weibull
from reliability.survival.weibull_life import Weibull
from validation.published.checks import Checks
from validation.published.lives import chains, residents, table_of

if TYPE_CHECKING:
    from validation.published.checks import Inputs, Values

LEFT_OUT = {
    "wb_cracks": "Cracks are known to lie between two inspections; our failures are known to the day or exactly.",
    "lap_nist": "Laplace's test asks whether the repairs of one system grow more frequent; drives fail once.",
    "lap_plane8": "The same, of one air conditioner.",
    "lap_valveseat": "The same, over 41 engines.",
}  # of the last three, tests/test_published.py checks the sign
OURS = Checks()


def fitted(table: RiskTable, **asked: Any) -> Weibull:  # noqa: ANN401  (the arguments of weibull)
    fit = weibull(table, **asked)
    assert isinstance(fit, Weibull)
    return fit


@OURS.computes("wb_nist20", "wb_genfan", "wb_channing_entry", "wb_genfan_LR1")
def weibull_with_limits(given: Inputs) -> Values:
    if "group" in given:
        fit = fitted(table_of(residents(given["group"]), "exit", entry="entry"))
    else:
        fit = fitted(table_of(rows_of(given["data"]), "hours"))
    found = {
        "loglik": fit.log_likelihood,
        "chisq": fit.constant_rate.statistic,
        "p": fit.constant_rate.p_value,
    }
    for name, estimate in {"shape": fit.shape, "scale": fit.scale, "tp": fit.quantiles[0].age}.items():
        found |= {name: estimate.value, f"{name}_lo": estimate.low or 0, f"{name}_hi": estimate.high or 0}
    k, scale = fit.shape.value, fit.scale.value
    mean, square = scale * math.gamma(1 + 1 / k), scale**2 * math.gamma(1 + 2 / k)
    return found | {"mean": mean, "sd": math.sqrt(square - mean**2)}


@OURS.computes("wb_channing_naive")
def weibull_without_late_entry(given: Inputs) -> Values:
    """The wrong fit, which leaves the ages of entry away."""
    fit = fitted(table_of(residents(given["group"]), "exit"))
    return {"shape": fit.shape.value, "scale": fit.scale.value}


@OURS.computes("wb_ifluid")
def breakdown_by_voltage(given: Inputs) -> Values:
    found: Values = {}
    for voltage in ("26", "30", "34", "38"):
        times = [float(row["time"]) for row in rows_of(given["data"], voltage=voltage)]
        fit = fitted(risk_table([0.0] * len(times), times, ["failed"] * len(times)))
        found |= {f"scale{voltage}": fit.scale.value, f"shape{voltage}": fit.shape.value}
    return found


@OURS.computes("milhdbk_nist")
def power_law_of_repairs(given: Inputs) -> Values:
    """The chain's Weibull hazard is the power law; the modified estimates of the handbook follow from it."""
    repairs, end = [float(row["hours"]) for row in rows_of(given["data"])], float(given["T"])
    n, shape = len(repairs), fitted(chains([end], repairs)).shape.value
    modified = shape * (n - 1) / n
    mtbf, z = end / (n * modified), norm.ppf(0.9)
    test = ChiSquareTest(2 * n / shape, 2 * n)
    return {
        "bHat": modified,
        "BetaHat": 1 - modified,
        "aHat": n / end**modified,
        "MTBF": mtbf,
        "ML": mtbf * n * (n - 1) / (n + z**2 / 4 + math.sqrt(n * z**2 / 2 + z**4 / 16)) ** 2,
        "MU": mtbf * n * (n - 1) / (n - z * math.sqrt(n / 2)) ** 2,
        "chisq": test.statistic,
        "df": test.degrees,
        "p_upper": test.p_value,
    }
