"""Every published check value of survival, through our functions; references/README.md says how to read them.

Repairs of one system recur, and a life ends once. But a system seen through its repairs is a chain of lives, each
of which begins where the last one failed. So the recurrent entries are checked as chains where they ask for
something that we compute; what they ask for beyond it is left out below, with the reason.
"""

from __future__ import annotations

import math
from itertools import accumulate, cycle, pairwise
from typing import TYPE_CHECKING, Any

import numpy as np
import pytest
from published_values import agrees, agrees_in_print, cases, entries, loose_prints, rows_of
from scipy.stats import norm

from reliability.risk_table import RiskTable, risk_table
from reliability.survival.chi_square import ChiSquareTest
from reliability.survival.cumulative_incidence import cumulative_incidence
from reliability.survival.kaplan_meier import kaplan_meier, survival_at
from reliability.survival.nelson_aalen import nelson_aalen
from reliability.survival.weibull import weibull
from reliability.survival.weibull_life import Weibull

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

    from numpy.typing import NDArray

    Inputs = dict[str, Any]
    Values = dict[str, float]
    Computed = Callable[[Inputs], Values]

ENTRIES = entries(
    "kaplan_meier", "left_truncated_km", "nelson_aalen", "competing_risks", "weibull_ml", "trend_tests"
)
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


def table_of(rows: list[dict[str, str]], exit_: str, status: str = "status", entry: str = "") -> RiskTable:
    """Lives from the columns of a data file; without an entry column all enter at age 0."""
    ends = ["failed" if row[status] == "1" else "in service" for row in rows]
    begins = [float(row[entry]) if entry else 0.0 for row in rows]
    return risk_table(begins, [float(row[exit_]) for row in rows], ends)


def chains(last: Iterable[float], repairs: Iterable[float]) -> RiskTable:
    """Systems under watch from age 0 to the last age of each, as lives between their repairs.

    Counts are all that a table holds, so two repairs of one system at one age can be counted, too.
    """
    ends = list(last)
    ages, place = np.unique([0.0, *ends, *repairs], return_inverse=True)
    counts = [np.bincount(part, minlength=ages.size) for part in np.split(place, [1, 1 + len(ends)])]
    begun, left, failed = counts
    nothing = np.zeros_like(left)
    return RiskTable(ages, begun * len(ends) + failed, failed, nothing, nothing, left, exact=True)


def at(values: NDArray[np.generic], ages: NDArray[np.generic], age: float) -> float:
    """Value of a step function: that of the last step up to an age."""
    return float(values[np.searchsorted(ages, age, side="right") - 1])


def fitted(table: RiskTable, **asked: Any) -> Weibull:  # noqa: ANN401  (the arguments of weibull)
    fit = weibull(table, **asked)
    assert isinstance(fit, Weibull)
    return fit


def residents(sex: str) -> list[dict[str, str]]:
    """Without the four whose exit is not after their entry."""
    rows = rows_of("data/channing.csv", sex=sex)
    return [row for row in rows if int(row["exit"]) > int(row["entry"])]


@computes("km_nist20", "km_aml_maintained", "km_aml_nonmaintained")
def steps(given: Inputs) -> Values:
    rows = rows_of(given["data"], **({"group": given["group"]} if "group" in given else {}))
    curve = kaplan_meier(table_of(rows, "hours" if "hours" in rows[0] else "time"))
    errors = curve.standard_error.tolist()
    found: Values = {}
    for age, survival, error in zip(curve.ages.tolist(), curve.survival.tolist(), errors, strict=True):
        found |= {f"t{age}": survival, f"S{age}": survival, f"se{age}": error}
    return found


@computes("km_aml_loglog")
def limits_of_three_kinds(given: Inputs) -> Values:
    """Ours are log-log; those of log and plain follow from our standard error."""
    table = table_of(rows_of(given["data"], group=given["group"]), "time")
    curve = kaplan_meier(table)
    z = norm.ppf(0.975)
    found: Values = {}
    for point in survival_at(table, given["times"]):
        age, s = point.age_days, point.survival or 0.0
        error = at(curve.standard_error, curve.ages, age)
        found |= {
            f"loglog_lo{age}": point.low or 0.0,
            f"loglog_hi{age}": point.high or 0.0,
            f"log_lo{age}": s * math.exp(-z * error / s),
            f"log_hi{age}": min(1.0, s * math.exp(z * error / s)),
            f"plain_lo{age}": s - z * error,
            f"plain_hi{age}": min(1.0, s + z * error),
        }
    return found


@computes("km_6mp", "km_placebo", "km_genfan")
def survival_with_limits(given: Inputs) -> Values:
    rows = rows_of(given["data"], **({"group": given["group"]} if "group" in given else {}))
    table = table_of(rows, "hours" if "hours" in rows[0] else "week")
    curve = kaplan_meier(table)
    found: Values = {}
    for point in survival_at(table, [6, 10, 23, 1150, 2080, 4600, 8750]):
        if not point.survival:  # beyond the data of this entry, or 0, which has no standard error
            continue
        age, survival = point.age_days, point.survival
        found |= {f"S{age}": survival, f"F{age}": 1 - survival}
        found |= {f"lo{age}": point.low or 0.0, f"hi{age}": point.high or 0.0}
        found[f"se{age}"] = at(curve.standard_error, curve.ages, age)
    return found | ({"S": found["S10"], "se": found["se10"]} if "S10" in found else {})


@computes("km_aml_median")
def medians(given: Inputs) -> Values:
    arms = {"M": "Maintained", "N": "Nonmaintained"}
    curves = {
        key: kaplan_meier(table_of(rows_of(given["data"], group=arm), "time")) for key, arm in arms.items()
    }
    return {key: float(curve.ages[curve.survival <= 0.5][0]) for key, curve in curves.items()}


@computes("lt_entry12", "lt_counting10", "na_counting")
def late_entry(given: Inputs) -> Values:
    table = table_of(rows_of(given["data"]), "exit", entry="entry")
    curve, summed = kaplan_meier(table, from_age=0), nelson_aalen(table, from_age=0)
    found: Values = {}
    for place, age in enumerate(curve.ages.tolist()):
        found |= {f"n{age}": float(curve.at_risk[place]), f"S{age}": float(curve.survival[place])}
        found |= {f"H{age}": float(summed.hazard[place])}
        of_survival = "risk_set" in given  # the one entry whose standard errors are those of the survival
        error = curve.standard_error if of_survival else summed.standard_error
        found[f"se{age}"] = float(error[place])
    return found


@computes("lt_channing")
def given_alive(given: Inputs) -> Values:
    ages = [840, 900, 960, 1020]
    return {
        f"{sex}{age}": point.survival or 0.0
        for sex in ("male", "female")
        for age, point in zip(
            ages,
            survival_at(
                table_of(residents(sex), "exit", entry="entry"), ages, from_age=given["condition_month"]
            ),
            strict=True,
        )
    }


@computes("lt_channing_trap")
def emptied_early(given: Inputs) -> Values:
    curve = kaplan_meier(table_of(residents(given["group"]), "exit", entry="entry"), from_age=0)
    first = zip(curve.ages.tolist(), curve.at_risk.tolist(), curve.survival.tolist(), strict=True)
    found: Values = {}
    for number, (age, at_risk, survival) in zip((1, 2), first, strict=False):
        found |= {f"t{number}": age, f"n{number}": at_risk, f"S{number}": survival}
    return found


@computes("na_6mp", "na_genfan")
def summed_hazard(given: Inputs) -> Values:
    rows = rows_of(given["data"], **({"group": given["group"]} if "group" in given else {}))
    summed = nelson_aalen(table_of(rows, "hours" if "hours" in rows[0] else "week"))
    each = zip(summed.ages.tolist(), summed.hazard.tolist(), summed.standard_error.tolist(), strict=True)
    found: Values = {}
    for age, total, error in each:
        found |= {f"H{age}": total, f"se{age}": error}
    return found


@computes("mcf_valveseat")
def replacements_of_an_engine(given: Inputs) -> Values:
    summed = nelson_aalen(valve_seats(given["data"]))
    return {f"M{age:g}": total for age, total in zip(summed.ages, summed.hazard.tolist(), strict=True)}


def valve_seats(data: str) -> RiskTable:
    rows = rows_of(data)
    last: dict[str, float] = {}
    for row in rows:
        last[row["id"]] = max(last.get(row["id"], 0.0), float(row["time"]))
    return chains(last.values(), [float(row["time"]) for row in rows if row["status"] == "1"])


@computes("cif_hoel", "cif_vs_1mKM")
def causes_of_death(given: Inputs) -> Values:
    """Three causes, for which our three ways to leave stand in."""
    ends = {"0": "in service", "1": "failed", "2": "retired", "3": "vanished"}
    found: Values = {}
    for group in ("Control", "Germ-free"):
        rows = rows_of(given["data"], group=group)
        ages = [float(row["days"]) for row in rows]
        table = risk_table([0.0] * len(rows), ages, [ends[row["outcome"]] for row in rows])
        shares = cumulative_incidence(table, from_age=0)
        for age in (300, 500, 700):
            for cause, end in list(ends.items())[1:]:
                found[f"{group[0]}{cause}_{age}"] = at(getattr(shares, end), shares.ages, age)
        (alive,) = survival_at(table, [500])
        if group == given.get("group"):
            found |= {"one_minus_km": 1 - (alive.survival or 0.0), "cif": found["C1_500"]}
    return found


@computes("cif_entry12")
def causes_with_late_entry(given: Inputs) -> Values:
    rows, ends = rows_of(given["data"]), cycle(["failed", "retired"])
    outcome = [next(ends) if row["status"] == "1" else "in service" for row in rows]
    entry, exit_ = [float(row["entry"]) for row in rows], [float(row["exit"]) for row in rows]
    shares = cumulative_incidence(risk_table(entry, exit_, outcome), from_age=0)
    by_cause = {"F1": shares.failed, "F2": shares.retired}
    return {f"{name}_{age}": at(f, shares.ages, age) for name, f in by_cause.items() for age in (3, 5, 10)}


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


def test_a_survival_of_0_has_no_standard_error() -> None:
    """As the note of km_aml_nonmaintained asks: it is undefined there, so it must not read 0."""
    curve = kaplan_meier(table_of(rows_of("data/aml.csv", group="Nonmaintained"), "time"))
    assert (curve.ages[-1], curve.survival[-1]) == (45, 0)
    assert (curve.standard_error.tolist()[-1], curve.low.tolist()[-1], curve.high.tolist()[-1]) == (None,) * 3


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
