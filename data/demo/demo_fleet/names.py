"""Plants trouble with names: a serial under two models, spellings, drives without a site."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from demo_fleet.days import LAST, month_of, number
from demo_fleet.drive import Drive, LogEntry
from demo_fleet.pool import serves

if TYPE_CHECKING:
    from demo_fleet.pool import Pool

RELABELLED = number(2025, 6, 17)  # from here on two drives report another model

# Models that only a misspelling made; that they are no models of their own, a person can tell, not a program.
STRAY_NAMES = {"stray K12": "TolmawK12", "stray Q8": "Q8"}

# Spellings of one model, in the rows of one site or the other, in the months given; they read as one.
SPELLINGS = {
    ("K8", "mill-loft"): ("tolmaw_k8", "2024-02"),
    ("D6", "pier-house"): ("Pellarn  D6", "2024-03"),
    ("L4", "mill-loft"): ("Ubbard-L4", "2024-03"),
    ("D12", "mill-loft"): ("Pellarn \uff2412", "2024-01"),  # a wide letter
}

# Serials with spaces around them in the rows of January 2024; they are trimmed.
PADDED = ("D6-0003", "D6-0004", "D6-0007", "K12-0011", "L4-0019")

# What lantern-hill calls the models; its mapping says which they are.
LANTERN_NAMES = {"D6": "PLN D6", "D12": "D12 (PLN)", "K12": "Tolmaw K12"}


def written(serial: str, days: list[int]) -> list[object]:
    """Return the serial as it stands in the rows of each of the days."""
    if serial not in PADDED:
        return [serial] * len(days)
    return [f"  {serial} " if month_of(day) == "2024-01" else serial for day in days]


def spelled(model: str, name: str, site: str, days: list[int]) -> list[str]:
    """Return the model's name as the rows of a site spell it on each of the days."""
    if site == "lantern-hill":
        return [LANTERN_NAMES[model]] * len(days)
    if (model, site) not in SPELLINGS:
        return [name] * len(days)
    spelling, month = SPELLINGS[model, site]
    return [spelling if month_of(day) == month else name for day in days]


def plant_relabelled(pool: Pool) -> None:
    """Let two serials report under another model from a day on: by the rules they are two drives each."""

    def fits(drive: Drive) -> bool:
        return serves(drive, 900) and drive.model == "D6" and drive.site == "pier-house"

    for position, drive in enumerate(pool.take("relabelled", 2, fits)):
        found = (("model_changed", 0),)
        before = replace(drive, last=RELABELLED - 1, end="retired", findings=found)
        after = replace(
            drive,
            model="D12",
            first=RELABELLED,
            age=drive.age + RELABELLED - drive.first,
            findings=found,
        )
        pool.put(before)
        pool.drives[f"{drive.serial} as D12"] = after
        pool.log.append(
            LogEntry(drive.serial, RELABELLED, "retired", "Pellarn D6", "re-labelled after new firmware")
        )
        if position == 0:  # without the model the log cannot say which of the two drives it means
            pool.log.append(LogEntry(drive.serial, RELABELLED + 1, "retired"))


def plant_strays(pool: Pool) -> None:
    """Add drives whose model is misspelt beyond what is merged, and drives without a site."""
    batch = "A"
    for serial, model in (("K12-0901", "stray K12"), ("K12-0902", "stray K12"), ("Q8-0901", "stray Q8")):
        first = number(2024, 10, 7)
        pool.drives[serial] = Drive(serial, model, "pier-house", "P4", batch, first, LAST, "in service", 12)
    for serial in ("K8-0901", "K8-0902"):
        pool.drives[serial] = Drive(serial, "K8", "", "", "T1", 0, LAST, "in service", 240)
