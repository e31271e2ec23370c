"""Published rate ratios and regressions, through our functions; references/README.md says how to read them."""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING

from published_values import rows_of

from reliability.comparer.ratios import (
    chance_of_share_at_least,
    chance_of_share_at_most,
    exact_ratio,
)
from reliability.rate import Rate
from reliability.regression import PoissonRegression, poisson_regression
from validation.published.checks import Checks

if TYPE_CHECKING:
    from validation.published.checks import Inputs, Values

OURS = Checks()


@OURS.computes("rr_fluoro", "rr_fay", "rr_eba1977", "rr_zero")
def ratios(given: Inputs) -> Values:
    """`p_minlike` is not our p-value: it adds all shares no likelier than the observed one, on both sides."""
    (x1, x2), (t1, t2) = given["x"], given["T"]
    found = exact_ratio(Rate(x1, t1), Rate(x2, t2))
    at_most = [chance_of_share_at_most(k, x1 + x2, t1 / (t1 + t2)) for k in range(x1 + x2 + 1)]
    chances = [more - less for less, more in pairwise([0.0, *at_most])]
    assert found.value is not None
    assert found.p_value is not None
    return {
        "ratio": found.value,
        "lo": found.interval.low,
        "hi": found.interval.high,
        "p_central": found.p_value,
        "p": found.p_value,
        "p_minlike": sum(chance for chance in chances if chance <= chances[x1] * (1 + 1e-7)),
    }


@OURS.computes("rr_fluoro_15")
def against_another_ratio(given: Inputs) -> Values:
    """The mid-P is not our p-value: of the observed count it takes half."""
    (x1, x2), (t1, t2) = given["x"], given["T"]
    share = given["null_ratio"] * t1 / (given["null_ratio"] * t1 + t2)
    exact, beyond = (chance_of_share_at_least(k, x1 + x2, share) for k in (x1, x1 + 1))
    return {"exact": exact, "midp": (exact + beyond) / 2}


def ships(given: Inputs) -> PoissonRegression:
    """Damage by type, year built and period; ships that never sailed are left out."""
    rows = [row for row in rows_of(given["data"]) if float(row["service"]) > 0]
    columns = {name: [float(row["type"] == name) for row in rows] for name in "BCDE"}
    columns |= {f"y{year}": [float(row["year"] == str(year)) for row in rows] for year in (65, 70, 75)}
    columns["p75"] = [float(row["period"] == "75") for row in rows]
    failures, exposure = ([float(row[name]) for row in rows] for name in ("incidents", "service"))
    return poisson_regression(failures, exposure, columns)


@OURS.computes("ships")
def damage_to_ships(given: Inputs) -> Values:
    fit = ships(given)
    effects = {name.replace("rate", "int"): value for name, value in fit.effects.items()}
    errors = {f"se_{name.replace('rate', 'int')}": value for name, value in fit.standard_errors.items()}
    return {**effects, **errors, "deviance": fit.deviance, "df": fit.degrees, "pearson": fit.pearson}


@OURS.computes("ships_dispersion")
def damage_spreads_further(given: Inputs) -> Values:
    fit = ships(given)
    assert fit.dispersion is not None
    return {"phi": fit.dispersion, "se": fit.scaled_error("p75")}


@OURS.computes("two_group_poisson")
def two_groups(given: Inputs) -> Values:
    apart = poisson_regression(given["x"], given["T"], {"first": [1, 0]})
    together = poisson_regression(given["x"], given["T"], {})
    return {
        "slope": apart.effects["first"],
        "se": apart.standard_errors["first"],
        "lr": together.deviance - apart.deviance,
    }
