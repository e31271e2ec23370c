"""Dirt that befalls a whole site or the whole fleet."""

from __future__ import annotations

from typing import TYPE_CHECKING

from slow.nouns import LogEntry

from dirty.plans import SITES, DrivePlan, between, pick

if TYPE_CHECKING:
    import numpy as np

    from dirty.plans import FleetPlan

    Rng = np.random.Generator


def site_outage(rng: Rng, fleet: FleetPlan) -> None:
    """Darken a site for a day or for weeks."""
    site = pick(rng, sorted({drive.site_from[0][1] for drive in fleet.drives}))
    start = between(rng, 1, fleet.days - 2)
    fleet.dark.setdefault(site, set()).update(range(start, start + pick(rng, (1, 1, 2, 9, 31, 40))))


def outage_at_the_end(rng: Rng, fleet: FleetPlan) -> None:
    """Darken a site for some days before the last."""
    site = pick(rng, sorted({drive.site_from[0][1] for drive in fleet.drives}))
    fleet.dark.setdefault(site, set()).update(range(fleet.days - between(rng, 2, 6), fleet.days - 1))


def fleet_empty(rng: Rng, fleet: FleetPlan) -> None:
    """Darken all sites together."""
    start = between(rng, 1, fleet.days - 2)
    dark = range(start, start + pick(rng, (1, 1, 3, 8, 33)))
    for site in ("", *SITES, "shed"):
        fleet.dark.setdefault(site, set()).update(dark)


def silent_site(rng: Rng, fleet: FleetPlan) -> None:
    """Silence a site for good, on the limit of 30 days before the end or anywhere."""
    site = pick(rng, sorted({drive.site_from[0][1] for drive in fleet.drives}))
    last = fleet.days - 1
    start = max(1, pick(rng, (last - 29, last - 30, last - 31, between(rng, 1, last))))
    fleet.dark.setdefault(site, set()).update(range(start, fleet.days))


def one_drive_site(rng: Rng, fleet: FleetPlan) -> None:
    """Give one drive a site of its own."""
    pick(rng, fleet.drives).site_from = [(0, "shed")]


def aliases(_rng: Rng, fleet: FleetPlan) -> None:
    """List another name for a model; drives may be written under it."""
    fleet.aliases["TARN T18"] = ["T18 by Tarn", "TRN-T18"]
    for number, drive in enumerate(fleet.drives):
        if drive.model == "TARN T18" and number % 2:
            drive.spelling = ("T18 by Tarn", "trn_t18", "TRN  T18")[number % 3]


def near_models(_rng: Rng, fleet: FleetPlan) -> None:
    """Add models that are nearly one."""
    for number, drive in enumerate(fleet.drives[:4]):
        drive.spelling = ("Fjord TARN T18", "TARNT18", "TARN.T18", "Orm4kPlus")[number]


def generations(rng: Rng, fleet: FleetPlan) -> None:
    """Replace all drives of a site on one day: nobody stands on both sides of the change."""
    site = pick(rng, SITES[:2])
    change, pause = between(rng, 2, fleet.days - 3), pick(rng, (0, 1, 5, 35))
    old = [drive for drive in fleet.drives if drive.site_from[0][1] == site]
    for number, drive in enumerate(old):
        drive.entered, drive.left = min(drive.entered, change - 1), min(drive.left, change - 1)
        start = min(change + pause, fleet.days - 1)
        fleet.drives.append(
            DrivePlan(f"N{number:03d}", drive.model, start, fleet.days - 1, [(0, site)], "r1", "b1")
        )


def log_of_strangers(rng: Rng, fleet: FleetPlan) -> None:
    """Log serials that nobody knows."""
    for serial in ("X1", "X2"):
        day = fleet.date(between(rng, 0, fleet.days + 20))
        fleet.log.append(LogEntry(serial, day, pick(rng, ("failed", "retired", "moved")), None, "stray"))
