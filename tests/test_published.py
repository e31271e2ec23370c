"""Every published check value through our functions; references/README.md tells of them."""

from __future__ import annotations

import math
from itertools import accumulate, pairwise
from typing import Any

import pytest
from published_values import GROUPS, agrees, agrees_in_print, cases, entries, loose_prints, rows_of
from validation.published import LEFT_OUT, OURS
from validation.published.comparisons import ratios
from validation.published.fits import fitted
from validation.published.lives import chains, table_of, valve_seats

from reliability.survival.kaplan_meier import kaplan_meier

ENTRIES = entries(*GROUPS)
COMPUTED = {name: entry for name, entry in ENTRIES.items() if name in OURS}


def ours(entry: dict[str, Any], key: str) -> float:
    return OURS[entry["id"]](entry["inputs"])[key]


def test_none_is_left_out_without_a_reason() -> None:
    assert set(OURS) | set(LEFT_OUT) == set(ENTRIES)
    assert not set(OURS) & set(LEFT_OUT)
    assert all(reason.endswith(".") for reason in LEFT_OUT.values())


@pytest.mark.parametrize(("entry", "key"), cases("expected", COMPUTED))
def test_full_precision(entry: dict[str, Any], key: str) -> None:
    assert agrees(entry, key, ours(entry, key))


@pytest.mark.parametrize(("entry", "key"), cases("published", COMPUTED))
def test_printed_digits(entry: dict[str, Any], key: str) -> None:
    assert agrees_in_print(entry, key, ours(entry, key))


def test_prints_that_are_loose_are_known_to_be() -> None:
    """The negative control of the digits: a rounded quantile, and two optimisers that stopped a little early."""
    assert list(loose_prints(COMPUTED)) == [
        ("ross_143c", "hi"),
        ("wb_nist20", "scale"),
        ("wb_ifluid", "shape38"),
    ]
    for name, key in loose_prints(COMPUTED):
        assert not agrees_in_print(COMPUTED[name], key, ours(COMPUTED[name], key))
    apart = {
        name: ours(COMPUTED[name], key) - float(COMPUTED[name]["published"][key])
        for name, key in loose_prints(COMPUTED)
    }
    assert apart["ross_143c"] == pytest.approx(0.75, abs=0.005)
    assert max(abs(apart["wb_nist20"]) / 606, abs(apart["wb_ifluid"])) < 1e-6


def test_a_survival_of_0_has_no_standard_error() -> None:
    """As the note of km_aml_nonmaintained asks: it is undefined there, so it must not read 0."""
    curve = kaplan_meier(table_of(rows_of("data/aml.csv", group="Nonmaintained"), "time"))
    assert (curve.ages[-1], curve.survival[-1]) == (45, 0)
    assert (curve.standard_error.tolist()[-1], curve.low.tolist()[-1], curve.high.tolist()[-1]) == (None,) * 3


def test_the_usual_test_contradicts_its_limits_and_ours_does_not() -> None:
    """The negative control: by minimum likelihood p is below 0.05 though the limits hold 1 (Fay's vignette)."""
    found = ratios(ENTRIES["rr_fay"]["inputs"])
    assert found["p_minlike"] < 0.05 < found["p_central"]
    assert found["hi"] > 1


PLANE = [float(row["interval"]) for row in rows_of("data/proschan_plane8.csv")]


@pytest.mark.parametrize(
    ("name", "repairs", "end"),
    [
        ("lap_nist", [float(row["hours"]) for row in rows_of("data/nist_repair10.csv")], 1500.0),
        ("lap_plane8", list(accumulate(PLANE)), None),
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
    sums = list(accumulate(PLANE))
    assert all(one < other for one, other in pairwise(sums))
    assert (len(sums), sums[-1]) == (30, ENTRIES["lap_plane8"]["expected"]["T"])
