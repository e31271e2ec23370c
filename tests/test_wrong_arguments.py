"""From Python, what would give a number that means nothing is refused in one sentence."""

from __future__ import annotations

import json
import math
import shutil
from dataclasses import asdict
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st
from matplotlib.figure import Figure
from tiny_stores import csv_of, put, rows

import reliability as rel

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

TABLE = rel.risk_table([0] * 20, [400 + 10 * n for n in range(20)], ["failed"] * 6 + ["in service"] * 14)
RATE = rel.Rate(26, 365_000)
DAYS = pd.Series(pd.to_timedelta([300, 400], unit="D"))
RNG = np.random.default_rng(1)
FIT = rel.weibull(TABLE)


def looks(*years: float, planned: float = 4) -> rel.PlannedLooks:
    return rel.PlannedLooks(years, planned)  # type: ignore[arg-type]  # parts of looks are refused


REFUSED: dict[str, tuple[Callable[[], object], str]] = {
    "looks of other exposure": (
        lambda: rel.compare_planned(RATE, 0.01, looks(500, 900)),
        "900 drive-years in the",
    ),
    "drive-days for years": (
        lambda: rel.compare_planned(RATE, 0.01, looks(182_500, 365_000)),
        "and 1,000 in the rate",
    ),
    "falling looks": (lambda: looks(1000, 500), "none is below the one before"),
    "looks of nan": (lambda: looks(math.nan, 1000), "give numbers, 0 or more"),
    "negative looks": (lambda: looks(-5, 1000), "give numbers, 0 or more"),
    "part of a look": (lambda: looks(500, 1000, planned=2.5), "2.5 looks cannot be planned"),
    "timedeltas": (lambda: rel.risk_table([0, 0], DAYS, ["failed"] * 2), "Ages are days as numbers"),
    "timedeltas in service": (lambda: rel.in_service(DAYS), "Ages are days as numbers"),
    "timedeltas of a life": (lambda: FIT.survival(DAYS), "Ages are days as numbers"),  # type: ignore[union-attr]
    "half a drive": (lambda: rel.in_service([1], unknown=2.5), "nor a part of one"),  # type: ignore[arg-type]
    "no drives known": (lambda: rel.in_service([1], unknown=math.nan), "nor a part of one"),  # type: ignore[arg-type]
    "an age before birth": (lambda: FIT.survival([-5, 3]), "No drive is -5 days old"),  # type: ignore[union-attr]
    "no draws": (lambda: rel.forecast(TABLE, rel.in_service([9]), 90, rng=RNG, draws=0), "0 draws are none"),
    "a seed for a generator": (
        lambda: rel.forecast(TABLE, rel.in_service([9]), 90, rng=1),  # type: ignore[arg-type]
        r"1 is no source of chance; give a generator, such as np.random.default_rng\(1\)",
    ),
    "vanished against nothing": (lambda: rel.vanished_bounds(RATE, 4, -0.0035), "A stated rate of -0.0035"),
    "pre-emptive against nan": (lambda: rel.preemptive_bounds(RATE, 4, math.nan), "A stated rate of nan"),
    "a ratio of less": (lambda: rel.vanished_bounds(RATE, 4, 0.01, ratio=0.5), "A ratio of 0.5 is no excess"),
    "a ratio near 1": (
        lambda: rel.compare(RATE, 0.01, ratio=1.01),
        "A ratio of 1.01 is no excess .* 1.05 or more",
    ),
    "a true failure": (lambda: rel.Rate(True, 365), "True failures cannot be counted"),  # noqa: FBT003
    "a rating of nan": (lambda: rel.Rating(math.nan), "A highest temperature of nan"),
    "a workload of nothing": (lambda: rel.Rating(None, 0), "A workload of 0 TB"),
    "a prior of nothing": (lambda: rel.Mixture.centred_on(0), "A stated rate of 0 failures"),
    "a chance of nan": (lambda: rel.Mixture().p_value(RATE, math.nan), "A true rate of nan failures"),
    "a chance below nothing": (lambda: rel.Mixture().p_value(rel.Rate(0, 9), -0.01), "A true rate of -0.01"),
    "a table of nan": (
        lambda: rel.RiskTable(
            age=np.array([math.nan]),
            entered=np.array([1]),
            failed=np.array([1]),
            retired=np.array([0]),
            vanished=np.array([0]),
            left=np.array([0]),
            exact=True,
        ),
        "finite days, 0 or more",
    ),
}


@pytest.mark.parametrize("name", REFUSED)
def test_it_is_refused_in_one_sentence(name: str) -> None:
    ask, words = REFUSED[name]
    with pytest.raises(rel.DriveyearsError, match=words) as caught:
        ask()
    assert "\n" not in str(caught.value)


def test_counts_of_arrays_do_not_wrap_and_are_plain_numbers() -> None:
    total = rel.Rate(np.uint8(200), np.int32(365_000)) + rel.Rate(np.uint8(100), np.int32(2_000_000_000))  # type: ignore[arg-type]
    assert (total.failures, total.drive_days) == (300, 2_000_365_000)
    assert json.loads(json.dumps(asdict(total))) == {"failures": 300, "drive_days": 2_000_365_000}
    assert str(rel.Rate(4.0, 365_000)).startswith("4 failures")  # type: ignore[arg-type]
    bounds = rel.vanished_bounds(rel.Rate(np.uint8(250), 3_650_000), 10, 0.0035)  # type: ignore[arg-type]
    assert bounds.worst.failures == 260


def test_a_missing_age_stays_missing_in_a_weibull_life() -> None:
    assert isinstance(FIT, rel.Weibull)
    survival = FIT.survival([0, math.nan, 400])
    assert survival[0] == 1
    assert math.isnan(survival[1])
    assert 0 < survival[2] < 1


def test_a_drawn_comparison_has_the_limits_that_it_was_judged_by() -> None:
    running = rel.compare_running(rel.Rate(20, 365_000), 0.0115, rel.Mixture.centred_on(0.0115))
    axes = rel.draw(running, Figure().subplots())
    (line,) = [line for line in axes.lines if line.get_label() == "limits at every look"]
    first, last = (float(end) for end in np.asarray(line.get_xdata()))
    low, high = axes.get_xlim()
    assert (first, last) == pytest.approx((max(running.interval.low, low), min(running.interval.high, high)))
    assert first < running.stated < last, "what is drawn is too little to say, as the verdict is"
    wide = rel.draw(rel.compare(RATE, 0.01, ratio=4), Figure().subplots())
    (band,) = [each for each in wide.collections if each.get_label() == "between"]
    assert float(np.asarray(band.get_paths()[0].vertices)[:, 0].max()) == pytest.approx(0.04)


def test_a_state_a_model_and_a_rating_are_known_or_refused(tmp_path: Path) -> None:
    warm = dict.fromkeys(range(40), "45")
    text = csv_of(rows("A", range(40), temperature_c=warm, reallocated_sectors="0"))
    rel.load(put(tmp_path / "a.csv", text), tmp_path / "fleet")
    store = rel.open_store(tmp_path / "fleet")
    found = {each.signal: each for each in store.signals({"tarn t18": rel.Rating(40)}, "TARN T18")}
    assert found["temperature"].rate("exposed").drive_days > 0
    with pytest.raises(
        rel.DriveyearsError, match=r"There is no state 'Exposed'; the states are unexposed, exposed"
    ):
        found["temperature"].rate("Exposed")
    with pytest.raises(
        rel.DriveyearsError, match=r"There is no model 'TARN T81' in the store, did you mean 'TARN"
    ):
        store.signals(models="TARN T81")


def test_nothing_named_is_not_everything(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    put(tmp_path / "a.csv", csv_of(rows("A", range(3))))
    monkeypatch.chdir(tmp_path)
    for sources, words in (("", "A source or log has no name"), ([], "Nothing was named to load")):
        with pytest.raises(rel.DriveyearsError, match=words):
            rel.load(sources, "fleet")
    assert not (tmp_path / "fleet").exists()


def test_a_store_that_was_loaded_into_is_to_be_opened_again(tmp_path: Path) -> None:
    folder = tmp_path / "fleet"
    for number in range(3):
        rel.load(put(tmp_path / f"{number}.csv", csv_of(rows(f"S{number}", range(30)))), folder)
        if not number:
            opened = rel.open_store(folder)
    for ask in (opened.exposure, opened.lives, opened.outcomes):
        with pytest.raises(
            rel.DriveyearsError, match="has been loaded into since it was opened; open it again"
        ):
            ask()
    assert len(rel.open_store(folder).lives()) == 3
    shutil.rmtree(folder / "snapshots")
    assert rel.open_store(folder).outcomes()[0].drives == 3


def test_one_age_needs_no_list() -> None:
    assert rel.survival_at(TABLE, 450) == rel.survival_at(TABLE, [450])


@given(st.lists(st.integers(0, 40)), st.lists(st.integers(0, 40)), st.integers(0, 9))
def test_drives_in_service_add_up(some: list[int], others: list[int], unknown: int) -> None:
    both = rel.in_service(some, unknown) + rel.in_service(others)
    at_once = rel.in_service([*some, *others], unknown)
    assert (both.age.tolist(), both.drives.tolist(), both.unknown) == (
        at_once.age.tolist(),
        at_once.drives.tolist(),
        at_once.unknown,
    )
