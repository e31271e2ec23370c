"""What a signal's history says of itself, and as a frame."""

from __future__ import annotations

from reliability.loaders.signals import Rating, SignalHistory, StateCell
from reliability.rate import Rate


def history(*cells: StateCell) -> SignalHistory:
    return SignalHistory("pending_sectors", cells, {}, None)


CELLS = (
    StateCell("TARN T18", "unexposed", 0, 91, 3_650, 1),
    StateCell("TARN T18", "exposed", 2555, None, 365, 2),
    StateCell("Marl M6", "exposed", None, None, 730, 3),
)


def test_rates_are_pooled_by_state_and_by_model() -> None:
    found = history(*CELLS)
    assert found.rate("exposed") == Rate(5, 1_095)
    assert found.rate("exposed", "Marl M6") == Rate(3, 730)
    assert found.rate("not reported") == Rate(0, 0)
    assert found.of_unknown_age == Rate(3, 730)


def test_it_prints_one_line() -> None:
    assert str(history(*CELLS)).startswith("pending_sectors: 5 failures in 3 drive-years: AFR 170 %")
    assert str(history(*CELLS)).count("\n") == 0
    assert "No exposure" in str(history())


def test_a_frame_has_a_row_a_cell_and_no_band_where_the_age_is_unknown() -> None:
    frame = history(*CELLS).to_frame()
    assert frame["failures"].tolist() == [1, 2, 3]
    assert frame["age_from_days"].isna().tolist() == [False, False, True]
    assert frame["age_to_days"].isna().tolist() == [False, True, True]
    assert history().to_frame().empty


def test_a_rating_covers_what_it_states() -> None:
    heat, work = Rating(highest_c=60), Rating(workload_tb_per_year=55)
    told = [
        [rating.covers(signal) for signal in ("temperature", "workload", "either_rating")]
        for rating in (heat, work, Rating())
    ]
    assert told == [[True, False, True], [False, True, True], [False, False, False]]
