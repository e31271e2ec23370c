"""Methods held against general libraries, each on published data."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import statsmodels.api as sm
from lifelines import (
    AalenJohansenFitter,
    CoxTimeVaryingFitter,
    KaplanMeierFitter,
    NelsonAalenFitter,
    WeibullFitter,
)
from published_values import rows_of
from scipy.stats import binomtest
from signals.heart import heart_spells, tables_of
from statsmodels.duration.survfunc import survdiff
from statsmodels.stats.multitest import multipletests
from statsmodels.stats.rates import confint_poisson

from reliability.comparer.batches import spread
from reliability.comparer.holm import holm
from reliability.comparer.ratios import exact_ratio
from reliability.poisson import garwood_interval
from reliability.rate import Rate
from reliability.risk_table import risk_table
from reliability.signals.cox import cox_hazard_ratio
from reliability.signals.hazard_ratio import HazardRatio
from reliability.survival.cumulative_incidence import cumulative_incidence
from reliability.survival.hazard import hazard
from reliability.survival.kaplan_meier import survival_at
from reliability.survival.logrank import logrank
from reliability.survival.nelson_aalen import nelson_aalen
from reliability.survival.weibull import weibull
from reliability.survival.weibull_life import Weibull
from validation.published.lives import at, residents, table_of

if TYPE_CHECKING:
    from collections.abc import Iterator

    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

FROM, TO = 816, 960  # months of age, in the Channing House data


@dataclass(frozen=True, slots=True)
class Pair:
    """A number by a library, and ours."""

    method: str
    library: str
    data: str
    theirs: float
    ours: float

    @property
    def apart(self) -> float:
        """Difference as part of theirs."""
        return abs(self.ours - self.theirs) / abs(self.theirs)


def counts() -> Iterator[Pair]:
    """Limits and tests that rest on counts."""
    low, high = confint_poisson(7, 1_000, method="exact-c")
    ours = garwood_interval(7) / 1_000
    yield Pair("Rate: exact lower limit", "statsmodels", "7 in 1,000", float(low), ours.low)
    yield Pair("Rate: exact upper limit", "statsmodels", "7 in 1,000", float(high), ours.high)
    share = binomtest(11, 32, 800 / 3_811).proportion_ci(method="exact").high
    ratio = exact_ratio(Rate(11, 800), Rate(21, 3_011)).interval.high
    data = "11 in 800 against 21 in 3,011"
    yield Pair("Ratio: exact upper limit", "scipy", data, share / (1 - share) * 3_011 / 800, ratio)
    p_values = [0.001, 0.011, 0.02, 0.04, 0.3]
    adjusted = multipletests(p_values, method="holm")[1][2]
    yield Pair(
        "Holm: third of five p-values", "statsmodels", "0.001 to 0.3", adjusted, holm(p_values)[2] or 0
    )


def groups() -> Iterator[Pair]:
    """The spread between groups, and one rate against a rate for each band of age."""
    failures, years = np.array([1, 2, 4, 6, 17]), np.array([900.0, 1_100, 800, 1_300, 1_000])
    model = sm.GLM(failures, np.ones(5), sm.families.Poisson(), offset=np.log(years))
    fit = model.fit(scale="X2", use_t=True, tol=1e-12)
    rates = [Rate(int(x), 365 * t) for x, t in zip(failures, years, strict=True)]
    found = spread("batch", rates, rng=np.random.default_rng(1), draws=1)
    yield Pair(
        "Batches: Pearson index", "statsmodels", "30 failures in 5 batches", fit.scale, found.test.index
    )
    yield Pair(
        "Batches: quasi-Poisson upper limit",
        "statsmodels",
        "30 failures in 5 batches",
        math.exp(fit.conf_int()[0, 1]),
        found.quasi.high,
    )
    bands = hazard(table_of(residents("male"), "exit", entry="entry"), [0, 900, 960, 1_020])
    seen = [band.rate for band in bands.bands]
    offset = np.log([rate.drive_days for rate in seen])
    one = sm.GLM(
        [rate.failures for rate in seen], np.ones(len(seen)), sm.families.Poisson(), offset=offset
    ).fit()
    yield Pair(
        "Bands of age: test of one rate",
        "statsmodels",
        "Channing House, men",
        float(one.deviance),
        math.nan if bands.one_rate is None else bands.one_rate.statistic,
    )


def late_entry() -> Iterator[Pair]:
    """Survival, integrated hazard, a Weibull life and the log-rank test, with late entry."""
    men = residents("male")
    entry, exit_, failed = _columns(men)
    table, after = table_of(men, "exit", entry="entry"), exit_ > FROM
    given = {"entry": np.maximum(entry[after], FROM)}
    curve = KaplanMeierFitter().fit(exit_[after], failed[after], **given)
    (point,) = survival_at(table, [TO], from_age=FROM)
    data = "Channing House, men"
    yield Pair("Survival (Kaplan-Meier)", "lifelines", data, float(curve.predict(TO)), point.survival or 0)
    theirs = float(curve.confidence_interval_.loc[:TO].iloc[-1, 0])
    yield Pair("Survival: lower log-log limit", "lifelines", data, theirs, point.low or 0)
    summed = NelsonAalenFitter(nelson_aalen_smoothing=False).fit(exit_[after], failed[after], **given)
    ours = nelson_aalen(table, from_age=FROM)
    theirs = float(summed.predict(TO))
    yield Pair("Integrated hazard (Nelson-Aalen)", "lifelines", data, theirs, at(ours.hazard, ours.ages, TO))
    life, fit = WeibullFitter().fit(exit_, failed, entry=entry), weibull(table)
    if isinstance(fit, Weibull):
        yield Pair("Weibull: shape", "lifelines", data, life.rho_, fit.shape.value)
        yield Pair("Weibull: scale", "lifelines", data, life.lambda_, fit.scale.value)
    women = residents("female")
    both = [np.concatenate(pair) for pair in zip(_columns(men), _columns(women), strict=True)]
    sex = np.repeat([0, 1], [len(men), len(women)])
    # it counts who enters at an age as at risk at that age, and we only after it: half a month later is the same
    statistic, _ = survdiff(both[1], both[2].astype(int), sex, entry=both[0] + 0.5)
    test = logrank([table, table_of(women, "exit", entry="entry")]).test
    ours_statistic = math.nan if test is None else test.statistic
    yield Pair(
        "Log-rank test", "statsmodels", "Channing House, men and women", float(statistic), ours_statistic
    )


def causes() -> Iterator[Pair]:
    """Shares in competition, and a hazard ratio of a state that changes with time."""
    rows = rows_of("data/hoel_mice.csv", group="Germ-free")
    days = np.array([float(row["days"]) for row in rows]) + np.arange(len(rows)) * 1e-6  # it takes no ties
    outcome = np.array([int(row["outcome"]) for row in rows])
    fitter = AalenJohansenFitter(calculate_variance=False).fit(days, outcome, event_of_interest=1)
    ends = np.array(["in service", "failed", "retired", "vanished"])[outcome]
    shares = cumulative_incidence(risk_table(np.zeros(days.size), days, ends), from_age=0)
    theirs = float(fitter.cumulative_density_.loc[:700].iloc[-1, 0])
    ours = at(shares.failed, shares.ages, 700)
    yield Pair("Share in competition (Aalen-Johansen)", "lifelines", "Hoel's mice, germ-free", theirs, ours)
    spells = heart_spells()
    columns = ["id", "start", "stop", "event", "transplant"]
    cox = CoxTimeVaryingFitter().fit(
        spells[columns], id_col="id", start_col="start", stop_col="stop", event_col="event"
    )
    ratio = cox_hazard_ratio(tables_of(spells, "transplant"))
    yield Pair(
        "Hazard ratio (Cox, state that changes)",
        "lifelines",
        "Stanford heart transplants",
        math.exp(cox.params_["transplant"]),
        ratio.value if isinstance(ratio, HazardRatio) else math.nan,
    )


def pairs() -> list[Pair]:
    """All of them."""
    return [*counts(), *groups(), *late_entry(), *causes()]


def _columns(rows: list[dict[str, str]]) -> tuple[Floats, Floats, NDArray[np.bool_]]:
    entry, exit_ = (np.array([float(row[name]) for row in rows]) for name in ("entry", "exit"))
    return entry, exit_, np.array([row["status"] == "1" for row in rows])
