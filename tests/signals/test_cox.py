"""Cox regression against R and lifelines, its laws, and what it refuses."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st
from lifelines import CoxTimeVaryingFitter
from scipy.special import ndtri

from reliability.risk_table import RiskTable, risk_table
from reliability.signals.cox import cox_hazard_ratio
from reliability.signals.hazard_ratio import HazardRatio, Refused
from signals.heart import heart_spells, tables_of

if TYPE_CHECKING:
    from collections.abc import Sequence

    from signals.heart import Strata

# R survival 3.5.3: coxph(Surv(start, stop, event) ~ transplant, heart), coefficient and standard error; the same
# with + strata(surgery).
HEART = {None: (0.1271411266, 0.3011411043), "surgery": (0.1449934482, 0.2987718977)}


def logarithm(found: HazardRatio | Refused) -> tuple[float, float]:
    """The coefficient and its standard error, out of the estimate and its limits."""
    assert isinstance(found, HazardRatio)
    width = math.log(found.interval.high / found.interval.low)
    return math.log(found.value), width / (2 * float(ndtri((1 + found.interval.level) / 2)))


@pytest.mark.parametrize("stratum", HEART)
def test_the_transplant_data_give_what_r_gives(stratum: str | None) -> None:
    found = cox_hazard_ratio(tables_of(heart_spells(), "transplant", stratum))
    assert logarithm(found) == pytest.approx(HEART[stratum], rel=1e-8)


def simulated(seed: int, drives: int = 150) -> pd.DataFrame:
    """Drives of three models with late entry and many ties, that change state in the midst of life."""
    rng = np.random.default_rng(seed)
    rows = []
    for drive in range(drives):
        entry = int(rng.integers(0, 30))
        end = entry + int(rng.integers(2, 25))
        turn = int(rng.integers(entry - 5, end + 25))
        for start, stop, exposed in ((entry, min(turn, end), 0), (max(turn, entry), end, 1)):
            if start < stop:
                fails = stop == end and rng.random() < (0.7 if exposed else 0.4)
                rows.append((drive, drive % 3, start, stop, int(fails), exposed))
    return pd.DataFrame(rows, columns=["id", "model", "start", "stop", "event", "exposed"])


@pytest.mark.parametrize("seed", range(4))
def test_agrees_with_lifelines_on_spells_with_ties_and_late_entry(seed: int) -> None:
    spells = simulated(seed)
    theirs = CoxTimeVaryingFitter().fit(
        spells, id_col="id", start_col="start", stop_col="stop", event_col="event", strata=["model"]
    )
    ours = logarithm(cox_hazard_ratio(tables_of(spells, "exposed", "model")))
    assert ours == pytest.approx((theirs.params_["exposed"], theirs.standard_errors_["exposed"]), rel=1e-5)


@st.composite
def pairs(draw: st.DrawFn) -> Strata:
    """Two strata with failures enough in both states."""
    seed = draw(st.integers(0, 10_000))
    return tables_of(simulated(seed).assign(model=lambda spells: spells["model"] % 2), "exposed", "model")


def mapped(table: RiskTable, age: Sequence[float]) -> RiskTable:
    return RiskTable(
        np.array(age), table.entered, table.failed, table.retired, table.vanished, table.left, exact=True
    )


@given(pairs())
def test_the_other_way_round_it_is_the_inverse(strata: Strata) -> None:
    found = logarithm(cox_hazard_ratio(strata))
    turned = logarithm(cox_hazard_ratio([(exposed, unexposed) for unexposed, exposed in strata]))
    assert turned == pytest.approx((-found[0], found[1]), rel=1e-7, abs=1e-9)


@given(pairs())
def test_only_the_order_of_ages_counts(strata: Strata) -> None:
    stretched = [
        (
            mapped(a, (a.age.astype(float) ** 1.7 + 3).tolist()),
            mapped(b, (b.age.astype(float) ** 1.7 + 3).tolist()),
        )
        for a, b in strata
    ]
    assert logarithm(cox_hazard_ratio(stretched)) == pytest.approx(logarithm(cox_hazard_ratio(strata)))


@given(st.integers(0, 10_000))
def test_a_spell_cut_in_two_changes_nothing(seed: int) -> None:
    spells = simulated(seed)
    long = spells["stop"] - spells["start"] > 1
    cut = (spells["start"] + 1).where(long)
    first = spells[long].assign(stop=cut[long].astype(int), event=0)
    second = spells[long].assign(start=cut[long].astype(int))
    pieces = pd.concat([spells[~long], first, second])
    whole = cox_hazard_ratio(tables_of(spells, "exposed"))
    assert logarithm(cox_hazard_ratio(tables_of(pieces, "exposed"))) == pytest.approx(logarithm(whole))


@given(pairs())
def test_a_model_in_one_state_only_compares_nothing(strata: Strata) -> None:
    nobody = risk_table([], [], [])
    assert cox_hazard_ratio([*strata, (strata[0][0], nobody)]) == cox_hazard_ratio(strata)


def test_a_state_with_few_failures_is_refused() -> None:
    sound = risk_table([0] * 9, range(20, 110, 10), ["failed"] * 9)
    warned = risk_table([0] * 5, [15, 25, 35, 45, 55], ["failed"] * 4 + ["in service"])
    assert cox_hazard_ratio([(sound, warned)]) == Refused(
        "4 failures exposed and 9 unexposed, of models with drives in both states at known ages; it takes 5 in each."
    )
    assert isinstance(cox_hazard_ratio([]), Refused)


@pytest.mark.parametrize("turned", [False, True])
def test_states_that_never_meet_are_refused_not_given_a_huge_number(*, turned: bool) -> None:
    early = risk_table([0] * 6, [1, 2, 3, 4, 5, 6], ["failed"] * 6)
    late = risk_table([0] * 6, [7, 8, 9, 10, 11, 12], ["failed"] * 6)
    found = cox_hazard_ratio([(late, early) if turned else (early, late)])
    assert isinstance(found, Refused)
    assert "no finite ratio is best" in str(found)
