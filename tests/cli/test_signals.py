"""`signals`: states by hand on tiny fleets, edge rows, and the whole of it on the demonstration fleet."""

from __future__ import annotations

import csv
import io
import re
from typing import TYPE_CHECKING, Any

import pytest
from fresh_python import ROOT
from test_docs import keys, section
from tiny_stores import csv_of, day, loaded, put, refused, rows, said

from reliability.loaders.load import load
from reliability.loaders.mapping import read_mapping

if TYPE_CHECKING:
    from pathlib import Path

    from tiny_stores import Rows, Said

Capture = pytest.CaptureFixture[str]
DEMO = ROOT / "data" / "demo"
RATED = """\
[[datasheet]]
model = "TARN T18"
afr_percent = 1.0
rated_workload_tb_per_year = 100
operating_temperature_c = [5, 40]
"""


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("demo") / "fleet"
    load([str(DEMO / "house")], folder)
    log = [str(DEMO / "removals.csv")]
    load([str(DEMO / "lantern")], folder, mapping=read_mapping(DEMO / "mapping.toml"), removals=log)
    return folder


def asked(capsys: Capture, folder: Path, *histories: Rows, options: tuple[object, ...] = ()) -> Said:
    loaded(capsys, folder / "fleet", put(folder / "all.csv", csv_of(*histories)))
    return said(capsys, "signals", "--store", folder / "fleet", *options)


def told(capsys: Capture, folder: Path, *histories: Rows, rated: bool = False) -> dict[str, Any]:
    """Each signal of a tiny fleet by its name, and under `within` the models within their rating."""
    sheet = ("--datasheets", put(folder / "rated.toml", RATED)) if rated else ()
    found = asked(capsys, folder, *histories, options=(*sheet, "--format", "json"))
    assert found.code == 0, found.err
    return {each["signal"]: each for each in found.json["signals"]} | {"within": found.json["within_rating"]}


def days_in(signal: dict[str, Any]) -> dict[str, tuple[int, int]]:
    """Drive-days and failures in the states that have any."""
    return {s["state"]: (s["drive_days"], s["failures"]) for s in signal["states"] if s["drive_days"]}


def failing(serial: str, last: int, **cells: str | dict[int, str]) -> Rows:
    return rows(serial, range(last + 1), "TARN T18", failed={last: "1"}, **cells)


def test_a_reading_counts_from_the_day_after(capsys: Capture, tmp_path: Path) -> None:
    history = failing("A", 9, pending_sectors={number: "8" if number > 5 else "0" for number in range(10)})
    found = told(capsys, tmp_path, history)["pending_sectors"]
    assert days_in(found) == {"unexposed": (7, 0), "exposed": (3, 1)}
    assert found["warnings"]["lead_days"]["median"] == 3


@pytest.mark.parametrize(("read", "warned"), [(9, 0), (8, 1)])
def test_a_warning_on_the_day_of_the_failure_is_none(
    capsys: Capture, tmp_path: Path, read: int, warned: int
) -> None:
    history = failing("A", 9, media_errors={number: "1" if number >= read else "0" for number in range(10)})
    found = told(capsys, tmp_path, history)
    for name in ("media_errors", "any_error_counter"):
        assert found[name]["warnings"]["failures_warned"] == warned
        assert days_in(found[name]).get("exposed", (0, 0)) == (warned, warned)


def test_a_counter_that_falls_back_to_zero_was_above_it(capsys: Capture, tmp_path: Path) -> None:
    history = rows(
        "A", range(10), command_timeouts={number: "3" if number == 2 else "0" for number in range(10)}
    )
    assert days_in(told(capsys, tmp_path, history)["command_timeouts"]) == {
        "unexposed": (3, 0),
        "exposed": (7, 0),
    }


def test_a_state_lasts_over_a_cutting_gap(capsys: Capture, tmp_path: Path) -> None:
    witness = rows("W", range(101), pending_sectors="0")
    history = rows("A", [*range(5), *range(95, 101)], pending_sectors={0: "1"})
    assert days_in(told(capsys, tmp_path, witness, history)["pending_sectors"]) == {
        "unexposed": (102, 0),
        "exposed": (10, 0),
    }


def test_what_was_never_told_is_not_zero(capsys: Capture, tmp_path: Path) -> None:
    history = rows("A", range(70), pending_sectors=dict.fromkeys(range(45, 70), "0"))
    found = told(capsys, tmp_path, history)
    # told first in April, day 31 on; it is taken as told from the first of that month
    assert days_in(found["pending_sectors"]) == {"unexposed": (39, 0), "not reported": (31, 0)}
    assert days_in(found["media_errors"]) == {"not reported": (70, 0)}


def test_wear_and_spare_capacity_have_thresholds_of_their_own(capsys: Capture, tmp_path: Path) -> None:
    used = {number: "60" if number < 25 else "100" for number in range(70)}
    spare = {number: "100" if number < 40 else "97" for number in range(70)}
    found = told(capsys, tmp_path, rows("A", range(70), percentage_used=used, available_spare=spare))
    assert days_in(found["percentage_used"]) == {"unexposed": (31, 0), "exposed": (39, 0)}  # March ends on 30
    assert days_in(found["available_spare"]) == {"unexposed": (61, 0), "exposed": (9, 0)}  # April ends on 60


def test_temperature_and_workload_are_judged_by_the_months_before(capsys: Capture, tmp_path: Path) -> None:
    # March hot and busy, April cool and idle; 146 TB a year, then 74 over both
    heat = {number: "41" if number == 3 else "30" for number in range(80)}
    moved = {number: str(int(2e11 * min(number, 30))) for number in range(80)}
    found = told(
        capsys,
        tmp_path,
        failing("A", 79, temperature_c=heat, bytes_written=moved, bytes_read=moved),
        rated=True,
    )
    assert days_in(found["temperature"]) == {
        "not reported": (31, 0),
        "exposed": (30, 0),
        "unexposed": (19, 1),
    }
    assert days_in(found["workload"]) == {"not reported": (31, 0), "exposed": (30, 0), "unexposed": (19, 1)}
    assert days_in(found["either_rating"]) == {
        "not reported": (31, 0),
        "exposed": (30, 0),
        "unexposed": (19, 1),
    }
    [within] = found["within"]
    assert (within["drive_days"], within["failures"], within["verdict"]) == (19, 1, "worse")
    assert within["drive_years_above"] * 365 == pytest.approx(30)
    assert within["drive_years_unknown"] * 365 == pytest.approx(31)


def test_a_month_without_a_temperature_leaves_the_next_one_unknown(capsys: Capture, tmp_path: Path) -> None:
    heat = dict.fromkeys([*range(31), *range(61, 92)], "30")
    found = told(capsys, tmp_path, rows("A", range(100), temperature_c=heat), rated=True)
    assert days_in(found["temperature"]) == {"unexposed": (30 + 8, 0), "not reported": (31 + 31, 0)}


def test_a_total_that_falls_tells_nothing_of_its_month(capsys: Capture, tmp_path: Path) -> None:
    def busy(number: int) -> int:
        """Move 1 TB a day in March, set the total back on the last day of it, then move next to nothing."""
        return 50 + number if number < 30 else number // 30

    moved = {number: str(10**12 * busy(number)) for number in range(100)}
    steady = {number: str(10**10 * number) for number in range(100)}
    for written, read in ((moved, steady), (steady, moved)):
        found = told(
            capsys, tmp_path, rows("A", range(100), bytes_written=written, bytes_read=read), rated=True
        )
        assert days_in(found["workload"]) == {"not reported": (61, 0), "unexposed": (39, 0)}


def test_a_model_without_a_rating_is_not_rated(capsys: Capture, tmp_path: Path) -> None:
    other = rows("B", range(10), model="Marl M6", temperature_c="60")
    found = told(capsys, tmp_path, other, rows("A", range(10), temperature_c="60"), rated=True)
    for name in ("temperature", "workload", "either_rating"):
        assert days_in(found[name]) == {"not rated": (10, 0), "not reported": (10, 0)}
    assert [within["model"] for within in found["within"]] == ["TARN T18"]


def test_a_fleet_without_counters_is_told_so_in_one_sentence(capsys: Capture, tmp_path: Path) -> None:
    found = asked(capsys, tmp_path, rows("A", range(10)))
    assert found.code == 0
    assert found.out.splitlines()[0] == (
        "No drive of this window reported a health counter; name the columns in a mapping, under [columns]."
    )
    assert "│" not in found.out


@pytest.mark.parametrize("fails", [False, True])
def test_one_drive_alone(capsys: Capture, tmp_path: Path, *, fails: bool) -> None:
    history = failing("A", 9, pending_sectors="0") if fails else rows("A", range(10), pending_sectors="0")
    found = told(capsys, tmp_path, history)["pending_sectors"]
    assert days_in(found) == {"unexposed": (10, int(fails))}
    assert [found[name] for name in ("crude_ratio", "ratio", "cox_ratio", "agree", "refused")] == [None] * 5
    assert (found["warnings"]["warned_share"], found["warnings"]["lead_days"]) == (
        0.0 if fails else None,
        None,
    )


def fleet(number: int, fails: set[int], warned: set[int], hours: str | None = None) -> list[Rows]:
    """Drives over 60 days, the warned ones from the tenth on; those that fail do so from the thirtieth on."""
    return [
        rows(
            f"D{drive:02}",
            range(30 + drive if drive in fails else 60),
            failed={29 + drive: "1"} if drive in fails else {},
            pending_sectors={day: str(int(drive in warned and day >= 10)) for day in range(60)},
            power_on_hours={day: str(24 * day + 12) if hours is None else hours for day in range(60)},
        )
        for drive in range(number)
    ]


def test_no_failure_at_all(capsys: Capture, tmp_path: Path) -> None:
    found = told(capsys, tmp_path, *fleet(8, set(), {1, 2}))["pending_sectors"]
    assert (found["crude_ratio"], found["crude_low"], found["crude_high"]) == (None, 0.0, None)
    assert found["refused"].startswith("0 failures exposed and 0 unexposed")


def test_all_failed(capsys: Capture, tmp_path: Path) -> None:
    found = told(capsys, tmp_path, *fleet(20, set(range(20)), set(range(0, 20, 2))))["pending_sectors"]
    assert found["refused"] is None
    assert found["low"] < found["ratio"] < found["high"]
    assert found["cox_low"] < found["cox_ratio"] < found["cox_high"]


def test_all_failures_on_one_side_give_no_huge_number(capsys: Capture, tmp_path: Path) -> None:
    found = told(capsys, tmp_path, *fleet(20, set(range(8)), set(range(8))))["pending_sectors"]
    assert (found["ratio"], found["cox_ratio"], found["crude_ratio"]) == (None, None, None)
    assert found["crude_low"] > 1
    assert found["crude_high"] is None
    assert found["refused"].startswith("8 failures exposed and 0 unexposed")


def test_drives_of_unknown_age_count_in_the_rate_and_not_at_like_ages(
    capsys: Capture, tmp_path: Path
) -> None:
    histories = fleet(20, set(range(20)), set(range(0, 20, 2)), hours="")
    found = told(capsys, tmp_path, *histories)["pending_sectors"]
    assert found["crude_ratio"] > 0
    assert found["unknown_age"]["failures"] == 20
    assert found["refused"].startswith(
        "0 failures exposed and 0 unexposed, of models with drives in both states"
    )
    shown = said(capsys, "signals", "--store", tmp_path / "fleet").out
    assert "Of unknown age, and only in the plain and crude rates: 2 drive-years, 20 failures." in shown
    assert "Warning: they hold over 10 % of the failures" in shown


@pytest.mark.parametrize(
    ("options", "naming"),
    [
        (("--model", "Nobody"), ("'Nobody'", "TARN T18")),
        (("--from", "2025-03-09", "--to", "2025-03-02"), ("2025-03-09", "2025-03-02")),
        (("--from", "soon"), ("--from soon",)),
    ],
)
def test_what_cannot_be_asked_is_refused(
    capsys: Capture, tmp_path: Path, options: tuple[str, ...], naming: tuple[str, ...]
) -> None:
    loaded(capsys, tmp_path / "fleet", put(tmp_path / "all.csv", csv_of(rows("A", range(5)))))
    refused(capsys, tmp_path, "signals", "--store", tmp_path / "fleet", *options, naming=naming)


def test_a_window_clips_and_forgets_nothing_read_before(capsys: Capture, tmp_path: Path) -> None:
    history = failing("A", 20, pending_sectors={number: str(int(number >= 4)) for number in range(21)})
    options = ("--from", day(8), "--to", day(11), "--format", "json")
    found = asked(capsys, tmp_path, history, options=options).json["signals"]
    [pending] = [each for each in found if each["signal"] == "pending_sectors"]
    assert days_in(pending) == {"exposed": (4, 0)}
    assert (pending["warnings"]["in_service_reported"], pending["warnings"]["in_service_warned"]) == (1, 1)


def test_the_states_of_each_signal_hold_all_days_and_failures(capsys: Capture, demo: Path) -> None:
    sheets = ("--datasheets", DEMO / "datasheets.toml")
    for window in ((), ("--from", "2025-02-03", "--to", "2025-11-17"), ("--model", "tolmaw_k8")):
        found = said(capsys, "signals", "--store", demo, *sheets, *window, "--format", "json").json["signals"]
        total = said(
            capsys, "rates", "--store", demo, *(() if "--model" in window else window), "--format", "json"
        ).json
        wanted = [total["total"], *(row for row in total["rows"] if row["model"] == "Tolmaw K8")][
            int("--model" in window)
        ]
        assert len(found) == 13
        for signal in found:
            for count in ("drive_days", "failures"):
                assert sum(state[count] for state in signal["states"]) == wanted[count], signal["signal"]


def test_every_key_told_of_the_demonstration_fleet_is_explained(capsys: Capture, demo: Path) -> None:
    sheets = ("--datasheets", DEMO / "datasheets.toml", "--format", "json")
    found = said(capsys, "signals", "--store", demo, *sheets).json
    page = section((ROOT / "docs" / "cli.md").read_text(encoding="utf-8"), "## signals")
    assert {"lead_days", "median", "sentence", "cox_low"} <= keys(found) <= set(re.findall(r"`(\w+)`", page))


def test_the_demonstration_fleet_warns_of_half_its_failures_and_of_loose_cables_not(
    capsys: Capture, demo: Path
) -> None:
    """As it was planted: half of the failures announce themselves, one healthy drive in twenty shows something."""
    found = {
        s["signal"]: s for s in said(capsys, "signals", "--store", demo, "--format", "json").json["signals"]
    }
    errors, cable = found["any_error_counter"], found["interface_crc_errors"]
    assert errors["warnings"]["warned_low"] < 0.5 < errors["warnings"]["warned_high"]
    warned = errors["warnings"]["in_service_warned"] / errors["warnings"]["in_service_reported"]
    assert warned == pytest.approx(0.05, abs=0.02)
    assert errors["low"] > 10
    assert errors["agree"]
    assert cable["crude_low"] < 1 < cable["crude_high"]


def test_csv_has_a_row_a_signal_and_state(capsys: Capture, demo: Path) -> None:
    lines = list(csv.DictReader(io.StringIO(said(capsys, "signals", "--store", demo, "--format", "csv").out)))
    assert len(lines) == 10 * 4  # without datasheets neither temperature nor workload
    [pending] = [row for row in lines if (row["signal"], row["state"]) == ("pending_sectors", "exposed")]
    assert float(pending["ratio"]) > 10
    assert {row["ratio"] for row in lines if row["state"] != "exposed"} == {""}
