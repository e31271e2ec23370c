"""Datasheets for the fleet in memory, all invented."""

from __future__ import annotations

from reliability.datasheet import Datasheet

SHEETS = (
    Datasheet("TARN T18", mtbf_hours=2_500_000, source="T series, sheet 3 (invented)"),
    Datasheet("tarn_t22", afr_percent=0.88),  # another spelling of the fleet's TARN T22
    Datasheet("Korrin 12N", mtbf_hours=1_000_000, source="Korrin leaflet (invented)"),
    Datasheet("Vashtel X20", mtbf_hours=2_500_000, afr_percent=0.44),  # they disagree
    Datasheet("Mauvel P8", afr_percent=1.2, afr_is="probability"),
    Datasheet("Pell R1", mtbf_hours=2_000_000),  # no drive of it in the fleet
)
