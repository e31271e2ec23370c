"""Every published value of Weibull fits and of repairs, through our functions.

Repairs of one system recur, and a life ends once. But a system seen through its repairs is a chain of lives, each
of which begins where the last one failed. So the recurrent entries are checked as chains where they ask for
something that we compute; what they ask for beyond it is left out below, with the reason.
"""

from __future__ import annotations

import math
from itertools import accumulate, pairwise
from typing import TYPE_CHECKING, Any

import pytest
from published_values import agrees, agrees_in_print, cases, entries, loose_prints, rows_of
from scipy.stats import norm

from reliability.risk_table import RiskTable, risk_table
from reliability.survival.chi_square import ChiSquareTest
from reliability.survival.weibull import weibull
from reliability.survival.weibull_life import Weibull
from survival.published_lives import chains, residents, table_of, valve_seats

if TYPE_CHECKING:
    from collections.abc import Callable

    Inputs = dict[str, Any]
    Values = dict[str, float]
    Computed = Callable[[Inputs], Values]

ENTRIES = entries("weibull_ml", "trend_tests")
LEFT_OUT = {
    "wb_cracks": "Cracks are known to lie between two inspections; our failures are known to the day or exactly.",
    "lap_nist": "Laplace's test asks whether the repairs of one system grow more frequent; drives fail once.",
    "lap_plane8": "The same.",
    "lap_valveseat": "The same, over 41 engines.",
}  # of the last three, the sign is checked below
OURS: dict[str, Computed] = {}


def computes(*names: str) -> Callable[[Computed], Computed]:
    def remember(function: Computed) -> Computed:
        OURS.update(dict.fromkeys(names, function))
        return function

    return remember


def fitted(table: RiskTable, **asked: Any) -> Weibull:  # noqa: ANN401  (the arguments of weibull)
    fit = weibull(table, **asked)
    assert isinstance(fit, Weibull)
    return fit


@computes("wb_nist20", "wb_genfan", "wb_channing_entry", "wb_genfan_LR1")
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


@computes("wb_channing_naive")
def weibull_without_late_entry(given: Inputs) -> Values:
    """The wrong fit, which leaves the ages of entry away."""
    fit = fitted(table_of(residents(given["group"]), "exit"))
    return {"shape": fit.shape.value, "scale": fit.scale.value}


@computes("wb_ifluid")
def breakdown_by_voltage(given: Inputs) -> Values:
    found: Values = {}
    for voltage in ("26", "30", "34", "38"):
        times = [float(row["time"]) for row in rows_of(given["data"], voltage=voltage)]
        fit = fitted(risk_table([0.0] * len(times), times, ["failed"] * len(times)))
        found |= {f"scale{voltage}": fit.scale.value, f"shape{voltage}": fit.shape.value}
    return found


@computes("milhdbk_nist")
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


def test_no_published_value_is_left_out_without_a_reason() -> None:
    assert set(OURS) | set(LEFT_OUT) == set(ENTRIES)
    assert not set(OURS) & set(LEFT_OUT)


COMPUTED = {name: entry for name, entry in ENTRIES.items() if name in OURS}


@pytest.mark.parametrize(("entry", "key"), cases("expected", COMPUTED))
def test_full_precision(entry: dict[str, Any], key: str) -> None:
    assert agrees(entry, key, OURS[entry["id"]](entry["inputs"])[key])


@pytest.mark.parametrize(("entry", "key"), cases("published", COMPUTED))
def test_printed_digits(entry: dict[str, Any], key: str) -> None:
    got = OURS[entry["id"]](entry["inputs"])[key]
    assert agrees_in_print(entry, key, got)


def test_prints_that_are_loose_are_known_to_be() -> None:
    """The negative control of the digits: two optimisers stopped a little early."""
    assert list(loose_prints(COMPUTED)) == [("wb_nist20", "scale"), ("wb_ifluid", "shape38")]
    for name, key in loose_prints(COMPUTED):
        entry = COMPUTED[name]
        assert not agrees_in_print(entry, key, OURS[name](entry["inputs"])[key])
        assert float(entry["published"][key]) == pytest.approx(entry["expected"][key], rel=1e-6)


@pytest.mark.parametrize(
    ("name", "repairs", "end"),
    [
        ("lap_nist", [float(row["hours"]) for row in rows_of("data/nist_repair10.csv")], 1500.0),
        (
            "lap_plane8",
            list(accumulate(float(row["interval"]) for row in rows_of("data/proschan_plane8.csv"))),
            None,
        ),
    ],
)
def test_the_trend_of_repairs_has_the_sign_of_laplace(
    name: str, repairs: list[float], end: float | None
) -> None:
    """Laplace's statistic is below 0 where repairs grow rarer, and so is the logarithm of the chain's shape.

    Without an end the watch ended with the last repair, which then tells nothing of its own.
    """
    chain = chains([end], repairs) if end else chains(repairs[-1:], repairs[:-1])
    assert math.log(fitted(chain).shape.value) * ENTRIES[name]["expected"]["z"] > 0


def test_the_trend_of_many_engines_has_the_sign_of_laplace() -> None:
    fit = fitted(valve_seats("data/valve_seat.csv"))
    assert fit.shape.value > 1
    assert ENTRIES["lap_valveseat"]["expected"]["z"] > 0
    assert fit.failures == ENTRIES["lap_valveseat"]["expected"]["n"]


def test_intervals_between_repairs_are_in_order() -> None:
    """Chains are only right if repairs are; the data file holds intervals, so their sums must rise."""
    sums = list(accumulate(float(row["interval"]) for row in rows_of("data/proschan_plane8.csv")))
    assert all(one < other for one, other in pairwise(sums))
    assert (len(sums), sums[-1]) == (30, ENTRIES["lap_plane8"]["expected"]["T"])
