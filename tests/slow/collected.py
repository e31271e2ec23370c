"""The days on which a site collected data, and its outages (rule 7)."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from slow.nouns import Drive

SITE_HAS_ITS_OWN_CALENDAR_FROM = 2  # drives


def days_between(first: date, last: date) -> list[date]:
    """List the days from first to last, both included; none if last is before first."""
    return [first + timedelta(days=n) for n in range((last - first).days + 1)]


@dataclass(frozen=True, slots=True)
class Calendar:
    """Which site reported on which day. All rows count here, also those after a failure.

    `reported` are the days on which any drive of the fleet reported. `outages` are those of the sites that
    have a calendar of their own, and under None those of the fleet.
    """

    by_site: Mapping[str | None, Mapping[date, frozenset[Drive]]]
    reported: frozenset[date]
    outages: Mapping[str | None, frozenset[date]]

    @property
    def first(self) -> date:
        return min(self.reported)

    @property
    def last(self) -> date:
        return max(self.reported)

    def owner(self, site: str | None) -> str | None:
        """Say whose calendar a site keeps: its own, or the fleet's (None)."""
        return site if site in self.outages else None

    def collected(self, site: str | None, first: date, last: date) -> list[date]:
        """List the days from first to last that are no outage of the site."""
        return [day for day in days_between(first, last) if day not in self.outages[self.owner(site)]]

    def reported_after(self, site: str | None, day: date) -> list[date]:
        """List the later days on which the site reported (the fleet, if it keeps the fleet's calendar)."""
        days = self.by_site[site].keys() if self.owner(site) is not None else self.reported
        return sorted(other for other in days if other > day)


def calendar(reports: Iterable[tuple[str | None, date, Drive]]) -> Calendar:
    """Make the calendar from (site, day, drive), one for each row."""
    found: dict[str | None, dict[date, set[Drive]]] = {}
    for site, day, drive in reports:
        found.setdefault(site, {}).setdefault(day, set()).add(drive)
    by_site = {site: {day: frozenset(drives) for day, drives in days.items()} for site, days in found.items()}
    reported = frozenset(day for days in by_site.values() for day in days)
    fleet_days = days_between(min(reported), max(reported)) if reported else []
    fleet_outages = frozenset(day for day in fleet_days if day not in reported)
    outages: dict[str | None, frozenset[date]] = {None: fleet_outages}
    for site, days in by_site.items():
        spans = _spans(days)
        if site is not None and len(spans) >= SITE_HAS_ITS_OWN_CALENDAR_FROM:
            missed = (d for d in fleet_days if d not in days and _two_saw_both_sides(d, spans.values()))
            outages[site] = fleet_outages.union(missed)
    return Calendar(by_site, reported, outages)


def _spans(days: Mapping[date, frozenset[Drive]]) -> dict[Drive, tuple[date, date]]:
    """Give the first and the last day on which each drive reported at a site."""
    spans: dict[Drive, tuple[date, date]] = {}
    for day in sorted(days):
        for drive in days[day]:
            spans[drive] = (spans.get(drive, (day, day))[0], day)
    return spans


def _two_saw_both_sides(day: date, spans: Iterable[tuple[date, date]]) -> bool:
    """Tell whether at least two drives each reported on some earlier and on some later day."""
    return len([1 for first, last in spans if first < day < last]) >= 2


def runs(days: Iterable[date]) -> list[tuple[date, date]]:
    """Give the unbroken runs of days as (first, last)."""
    found: list[tuple[date, date]] = []
    for day in sorted(days):
        if found and day - found[-1][1] == timedelta(days=1):
            found[-1] = (found[-1][0], day)
        else:
            found.append((day, day))
    return found
