"""The models of the fleet: how many drives, from when, how they really fail."""

from __future__ import annotations

from dataclasses import dataclass

from demo_fleet.days import number


@dataclass(frozen=True, slots=True)
class Arrival:
    """Drives of one model that a site takes in between two days, with an age at arrival in days."""

    site: str
    racks: tuple[str, ...]
    drives: int
    first: int
    last: int
    youngest: int = 0
    oldest: int = 0


@dataclass(frozen=True, slots=True)
class Model:
    """A model: its name, its size, its true failure behaviour.

    With shape 1 the failure rate is constant: `rate`, in failures per drive-year. With another shape the life
    follows a Weibull law with that shape and `scale_years`, and `rate` is not used.
    """

    key: str
    name: str
    capacity_tb: int
    tb_per_year: int  # written, in TB
    arrivals: tuple[Arrival, ...]
    rate: float = 0.0
    shape: float = 1.0
    scale_years: float = 0.0
    batches: tuple[tuple[str, float], ...] = (("A", 1.0), ("B", 1.0))  # label, times the rate
    retired_a_year: float = 0.02
    vanished: int = 0


PIER, MILL, LANTERN, FERRY = "pier-house", "mill-loft", "lantern-hill", "ferry-hut"
P14, P57, M13 = ("P1", "P2", "P3", "P4"), ("P5", "P6", "P7"), ("M1", "M2", "M3")
L12 = ("Höhe 1", "Höhe 2")

MODELS = (
    Model(
        "K8",
        "Tolmaw K8",
        8,
        60,
        (
            Arrival(MILL, ("M1", "M2"), 120, 0, 0, 30, 700),
            Arrival(PIER, P14, 100, 0, 0, 10, 420),
            Arrival(PIER, P14, 60, number(2024, 4, 8), number(2024, 5, 3)),
        ),
        rate=0.047,
        batches=(("T1", 0.8), ("T2", 0.8), ("T3", 2.4), ("T4", 0.8), ("T5", 0.8), ("T6", 0.8)),
        vanished=3,
    ),
    Model(
        "K12",
        "Tolmaw K12",
        12,
        90,
        (
            Arrival(PIER, P14, 110, 0, 0, 20, 500),
            Arrival(PIER, P57, 40, number(2024, 9, 2), number(2024, 9, 20)),
            Arrival(LANTERN, L12, 30, 0, 0, 100, 300),
        ),
        rate=0.026,
        vanished=28,
    ),
    Model(
        "D6",
        "Pellarn D6",
        6,
        40,
        (
            Arrival(PIER, P57, 150, 0, 0, 200, 900),
            Arrival(MILL, M13, 60, 0, 0, 200, 900),
            Arrival(LANTERN, L12, 40, 0, 0, 300, 800),
            Arrival(FERRY, ("F1",), 12, number(2024, 3, 4), number(2024, 3, 8)),
        ),
        rate=0.03,
        vanished=2,
    ),
    Model(
        "D12",
        "Pellarn D12",
        12,
        80,
        (
            Arrival(MILL, M13, 100, 0, 0, 0, 250),
            Arrival(PIER, P57, 100, number(2024, 2, 5), number(2024, 3, 1)),
            Arrival(LANTERN, L12, 40, number(2024, 6, 3), number(2024, 6, 14)),
        ),
        rate=0.014,
        vanished=2,
    ),
    Model(
        "L4",
        "Ubbard L4",
        4,
        30,
        (Arrival(PIER, P14, 140, 0, 0, 300, 1300), Arrival(MILL, ("M3",), 60, 0, 0, 300, 1300)),
        shape=3.4,
        scale_years=7.6,
        vanished=2,
    ),
    Model(
        "Q8",
        "Vessrik Q8",
        8,
        110,
        (Arrival(MILL, ("M4",), 110, number(2024, 11, 4), number(2024, 11, 22), 1300, 2000),),
        rate=0.035,
        vanished=1,
    ),
    Model(
        "Q28",
        "Vessrik Q28",
        28,
        150,
        (
            Arrival(PIER, ("P8",), 20, number(2026, 2, 16), number(2026, 2, 16)),
            Arrival(PIER, ("P8",), 16, number(2026, 6, 8), number(2026, 6, 8)),
        ),
        rate=0.004,
        retired_a_year=0.001,
    ),
)

BY_KEY = {model.key: model for model in MODELS}
