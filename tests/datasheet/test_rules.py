from __future__ import annotations

from datetime import date

import pytest

from reliability.datasheet.rules import RULES, faults_of

FINE: dict[str, object] = {"model": "TARN T18", "afr_percent": 0.35}
NUMBERS = [
    "mtbf_hours",
    "afr_percent",
    "capacity_tb",
    "rated_workload_tb_per_year",
    "warranty_years",
    "sustained_mb_per_s",
]
NO_NUMBER = ["2.5 million", "2500000", True, float("nan"), float("inf"), 10**400, [1], date(2026, 1, 1)]


def test_every_key_may_be_given() -> None:
    everything = FINE | {
        "mtbf_hours": 2_500_000,
        "afr_is": "probability",
        "capacity_tb": 18,
        "rated_workload_tb_per_year": 550.5,
        "warranty_years": 5,
        "operating_temperature_c": [-5, 60.5],
        "unrecoverable_error_rate": 1e-15,
        "sustained_mb_per_s": 270,
        "source": "data sheet 4",
    }
    assert set(everything) == set(RULES)
    assert faults_of(everything) == []


@pytest.mark.parametrize("key", NUMBERS)
@pytest.mark.parametrize("value", [*NO_NUMBER, 0, -1])
def test_numbers_are_above_zero(key: str, value: object) -> None:
    (fault,) = faults_of(FINE | {key: value})
    assert fault == f"{key} is {value!r}, it must be {RULES[key].must_be}"


@pytest.mark.parametrize("value", [*NO_NUMBER, 0, 1, -1e-15, 1e15])
def test_an_error_rate_lies_between_zero_and_one(value: object) -> None:
    (fault,) = faults_of(FINE | {"unrecoverable_error_rate": value})
    assert fault.endswith("it must be errors a bit read, between 0 and 1, such as 1e-15")


@pytest.mark.parametrize(
    "value", [60, "5-60", [5], [5, 60, 70], [60, 5], [5, 5], ["5", "60"], [5, float("nan")], [False, True]]
)
def test_temperatures_are_the_lowest_and_the_highest(value: object) -> None:
    (fault,) = faults_of(FINE | {"operating_temperature_c": value})
    assert fault.endswith("it must be the lowest and the highest degrees Celsius, such as [5, 60]")


@pytest.mark.parametrize(
    ("key", "value"), [("model", ""), ("model", " "), ("model", 18), ("source", 4), ("source", "")]
)
def test_names_are_text(key: str, value: object) -> None:
    (fault,) = faults_of(FINE | {key: value})
    assert fault == f"{key} is {value!r}, it must be {RULES[key].must_be}"


@pytest.mark.parametrize("value", ["Rate", "chance", 1, ["rate"]])
def test_an_afr_is_one_of_two_things(value: object) -> None:
    (fault,) = faults_of(FINE | {"afr_is": value})
    assert fault == f'afr_is is {value!r}, it must be "rate" or "probability"'


@pytest.mark.parametrize("percent", [100, 350])
def test_a_probability_is_below_a_hundred_percent(percent: float) -> None:
    (fault,) = faults_of({"model": "TARN T18", "afr_percent": percent, "afr_is": "probability"})
    assert fault == f"afr_percent is {percent}, as a probability it must be below 100, or else call it a rate"
    assert faults_of({"model": "TARN T18", "afr_percent": percent}) == []


def test_a_datasheet_states_a_rate_for_a_model() -> None:
    assert faults_of({}) == [
        'model is missing, give its name in quotes, such as "TARN T18"',
        "it states no rate, give mtbf_hours or afr_percent",
    ]


def test_an_unknown_key_is_told_what_it_may_have_meant() -> None:
    assert faults_of(FINE | {"capacity": 18}) == ["unknown key 'capacity', did you mean 'capacity_tb'?"]
    (fault,) = faults_of(FINE | {"colour": "grey"})
    assert fault == f"unknown key 'colour', known are {', '.join(RULES)}"
