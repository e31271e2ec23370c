"""Counts what was planted, drive by drive and day by day, by no rule but the plan's own words."""

from __future__ import annotations

from collections import Counter, defaultdict
from typing import TYPE_CHECKING

from demo_fleet.days import FERRY_SILENT, FLOOD, OUTAGES, POWER_CUT, date_of, quarter_of
from demo_fleet.names import STRAY_NAMES
from demo_fleet.rows import model_name

if TYPE_CHECKING:
    from collections.abc import Iterable

    from demo_fleet.drive import Drive

AGE_BANDS = (0, 91, 365, 730, 1095, 1460, 1825, 2555)  # from these days on, to the next
Cells = dict[str, dict[str, int]]


def credited_site(drive: Drive, day: int, reported: set[int]) -> str:
    """Return the site that a drive-day belongs to; without a report, the one that the log knows by then."""
    if drive.move and drive.move.logged <= day < drive.move.day and day not in reported:
        return drive.move.site
    return drive.site_on(day) or "none"


def band_of(age: int) -> str:
    """Return the age band that the day of a drive of so many whole days falls into."""
    return str(max(start for start in AGE_BANDS if start <= age))


def count_cells(drives: Iterable[Drive]) -> dict[str, Cells]:
    """Count drive-days, failures and drives per model, quarter, site and age band."""
    cells: dict[str, dict[str, Counter[str]]] = defaultdict(lambda: defaultdict(Counter))
    for drive in drives:
        model, reported = model_name(drive), drive.reported_days()
        days: Counter[tuple[str, str]] = Counter()
        labels: tuple[tuple[str, str], ...] = ()
        for day in drive.days_at_risk():
            quarter = quarter_of(day)
            labels = (
                ("model", model),
                ("quarter", quarter),
                ("model and quarter", f"{model} {quarter}"),
                ("site", credited_site(drive, day, reported)),
                ("age_from_days", band_of(drive.age + day - drive.first) if drive.age_known else "unknown"),
            )
            days.update(labels)
        for (by, label), count in days.items():
            failed = drive.end == "failed" and (by, label) in labels  # the labels of its last day
            cells[by][label].update(drive_days=count, failures=int(failed), drives=1)
    return {
        by: {label: dict(cell) for label, cell in sorted(held.items())} for by, held in sorted(cells.items())
    }


def count_ends(drives: Iterable[Drive]) -> Cells:
    """Count how the drives of each model ended, their lives cut short, and how many are of unknown age."""
    ends: dict[str, Counter[str]] = defaultdict(Counter)
    for drive in drives:
        counted = ends[model_name(drive)]
        for end in ("failed", "retired", "vanished", "in service"):
            counted[end.replace(" ", "_")] += drive.end == end
        counted["age_unknown"] += not drive.age_known
        for way in ("interrupted", "retired"):
            counted[f"lives_{way}_before"] += sum(absence.ends == way for absence in drive.absences)
    return {model: dict(counted) for model, counted in sorted(ends.items())}


def count_checks(drives: Iterable[Drive], log_unknown: int) -> Cells:
    """Count the findings that were planted: how many, on how many drives, with how many rows."""
    checks: dict[str, Counter[str]] = defaultdict(Counter)
    for drive in drives:
        for check, rows in drive.findings:
            reported = len(drive.reported_days())
            checks[check].update(findings=1, drives=1, rows=rows or reported)
    checks["log_unknown"].update(findings=log_unknown, drives=log_unknown, rows=log_unknown)
    checks["near_spelling"].update(findings=len(STRAY_NAMES), drives=0, rows=0)
    checks["outage"].update(findings=sum(map(len, OUTAGES.values())), drives=0, rows=0)
    return {check: dict(counted) for check, counted in sorted(checks.items())}


def outages() -> list[dict[str, object]]:
    """List the runs of days on which a site was not collected."""
    runs = [(site, run) for site, held in OUTAGES.items() for run in held]
    known = {POWER_CUT: "power cut", FLOOD: "flood", FERRY_SILENT: "silent to the end"}
    return [
        {
            "site": site or None,
            "from": str(date_of(run.start)),
            "to": str(date_of(run[-1])),
            "why": known[run],
        }
        for site, run in runs
    ]
