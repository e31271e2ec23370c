"""Every published value of survival, hazard and incidence, through our functions.

references/README.md says how to read them. Those of Weibull fits and repairs are in fits.py.
"""

from __future__ import annotations

import math
from itertools import cycle
from typing import TYPE_CHECKING

from published_values import rows_of
from scipy.stats import norm

from reliability.risk_table import risk_table
from reliability.survival.cumulative_incidence import cumulative_incidence
from reliability.survival.kaplan_meier import kaplan_meier, survival_at
from reliability.survival.nelson_aalen import nelson_aalen
from validation.published.checks import Checks
from validation.published.lives import at, residents, table_of, valve_seats

if TYPE_CHECKING:
    from validation.published.checks import Inputs, Values

OURS = Checks()


@OURS.computes("km_nist20", "km_aml_maintained", "km_aml_nonmaintained")
def steps(given: Inputs) -> Values:
    rows = rows_of(given["data"], **({"group": given["group"]} if "group" in given else {}))
    curve = kaplan_meier(table_of(rows, "hours" if "hours" in rows[0] else "time"))
    errors = curve.standard_error.tolist()
    found: Values = {}
    for age, survival, error in zip(curve.ages.tolist(), curve.survival.tolist(), errors, strict=True):
        found |= {f"t{age}": survival, f"S{age}": survival, f"se{age}": error}
    return found


@OURS.computes("km_aml_loglog")
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


@OURS.computes("km_6mp", "km_placebo", "km_genfan")
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


@OURS.computes("km_aml_median")
def medians(given: Inputs) -> Values:
    arms = {"M": "Maintained", "N": "Nonmaintained"}
    curves = {
        key: kaplan_meier(table_of(rows_of(given["data"], group=arm), "time")) for key, arm in arms.items()
    }
    return {key: float(curve.ages[curve.survival <= 0.5][0]) for key, curve in curves.items()}


@OURS.computes("lt_entry12", "lt_counting10", "na_counting")
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


@OURS.computes("lt_channing")
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


@OURS.computes("lt_channing_trap")
def emptied_early(given: Inputs) -> Values:
    curve = kaplan_meier(table_of(residents(given["group"]), "exit", entry="entry"), from_age=0)
    first = zip(curve.ages.tolist(), curve.at_risk.tolist(), curve.survival.tolist(), strict=True)
    found: Values = {}
    for number, (age, at_risk, survival) in zip((1, 2), first, strict=False):
        found |= {f"t{number}": age, f"n{number}": at_risk, f"S{number}": survival}
    return found


@OURS.computes("na_6mp", "na_genfan")
def summed_hazard(given: Inputs) -> Values:
    rows = rows_of(given["data"], **({"group": given["group"]} if "group" in given else {}))
    summed = nelson_aalen(table_of(rows, "hours" if "hours" in rows[0] else "week"))
    each = zip(summed.ages.tolist(), summed.hazard.tolist(), summed.standard_error.tolist(), strict=True)
    found: Values = {}
    for age, total, error in each:
        found |= {f"H{age}": total, f"se{age}": error}
    return found


@OURS.computes("mcf_valveseat")
def replacements_of_an_engine(given: Inputs) -> Values:
    summed = nelson_aalen(valve_seats(given["data"]))
    return {f"M{age:g}": total for age, total in zip(summed.ages, summed.hazard.tolist(), strict=True)}


@OURS.computes("cif_hoel", "cif_vs_1mKM")
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


@OURS.computes("cif_entry12")
def causes_with_late_entry(given: Inputs) -> Values:
    rows, ends = rows_of(given["data"]), cycle(["failed", "retired"])
    outcome = [next(ends) if row["status"] == "1" else "in service" for row in rows]
    entry, exit_ = [float(row["entry"]) for row in rows], [float(row["exit"]) for row in rows]
    shares = cumulative_incidence(risk_table(entry, exit_, outcome), from_age=0)
    by_cause = {"F1": shares.failed, "F2": shares.retired}
    return {f"{name}_{age}": at(f, shares.ages, age) for name, f in by_cause.items() for age in (3, 5, 10)}
