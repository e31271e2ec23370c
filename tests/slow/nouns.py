"""What goes into the slow reader, and what comes out."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence
    from datetime import date


@dataclass(frozen=True, slots=True)
class RawFile:
    """A file as it stands: its header, and its records as text; a torn one has too few or too many cells."""

    name: str
    columns: tuple[str, ...]
    records: tuple[tuple[str, ...], ...]

    @classmethod
    def of(cls, name: str, rows: Sequence[Mapping[str, str]]) -> RawFile:
        """Make a file of rows given as dicts; a key that a row lacks is an empty cell."""
        columns = tuple(dict.fromkeys(key for row in rows for key in row))
        return cls(name, columns, tuple(tuple(row.get(key, "") for key in columns) for row in rows))


@dataclass(frozen=True, slots=True)
class FailureRule:
    """How a source says that a drive failed: a word in `failed`, or one of `values` in its own column."""

    column: str = "failed"
    values: frozenset[str] | None = None


@dataclass(frozen=True, slots=True)
class LogEntry:
    """A row of the removal log."""

    serial: str
    day: date
    outcome: str  # failed, retired, moved
    model: str | None = None
    reason: str | None = None


class Drive(NamedTuple):
    """A drive is a serial and the key of its model: its folded spelling."""

    serial: str
    key: str


@dataclass(frozen=True, slots=True)
class GoodRow:
    """A row that was not rejected. Hours that are not valid are None here, as blank ones are."""

    file: str
    line: int
    serial: str
    model_read: str
    day: date
    failed: bool
    hours: float | None
    temperature: float | None
    site: str | None
    rack: str | None
    batch: str | None
    duplicate: bool
    readings: tuple[tuple[str, float], ...] = ()  # what else was read: counters, temperature, bytes


@dataclass(frozen=True, slots=True)
class Rejected:
    """A rejected row: its line in the file (the header is line 1), the column at fault, the kind of fault."""

    line: int
    column: str | None  # None: the number of cells is wrong
    kind: str


@dataclass(frozen=True, slots=True)
class FileAccount:
    """What became of the rows of a file."""

    name: str
    rows_read: int
    kept: int
    rejected: tuple[Rejected, ...]
    duplicates: int


@dataclass(frozen=True, slots=True)
class DriveDay:
    """All rows of one drive on one day, as one."""

    day: date
    failed: bool
    hours: float | None
    temperature: float | None
    sites: frozenset[str]  # without null
    rack: str | None
    batch: str | None
    readings: tuple[tuple[str, float], ...] = ()  # of each the highest of the day

    @property
    def site(self) -> str | None:
        """Where the drive was: the alphabetically first named site; a row without a site never competes."""
        return min(self.sites, default=None)


@dataclass(frozen=True, slots=True)
class Life:
    """One row of the table `lives`."""

    serial: str
    model: str
    life: int
    site: str | None
    rack: str | None
    batch: str | None
    first_day: date
    last_day: date
    drive_days: int
    days_seen: int
    entry_age_days: int | None
    exit_age_days: int | None
    outcome: str
    reason: str | None
    age_source: str
    longest_gap_days: int
    checks: str


@dataclass(frozen=True, slots=True)
class Finding:
    """One row of the table `checks`; `names` are words that its detail has to contain."""

    check: str
    serial: str | None
    model: str | None
    first_day: date | None
    rows: int
    names: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class DayAtRisk:
    """One drive-day of exposure. `age` is the age at the end of the day, in days; None if unknown."""

    serial: str
    model: str
    life: int
    day: date
    site: str | None
    rack: str | None
    batch: str | None
    age: int | None
    failed: bool


@dataclass(frozen=True, slots=True)
class CheckTotal:
    """The total of one check: distinct drives, and rows."""

    drives: int
    rows: int


@dataclass(frozen=True, slots=True)
class Truth:
    """All that the slow reader found. The outages under None are those of the fleet."""

    files: tuple[FileAccount, ...]
    set_aside: tuple[str, ...]
    reported: Mapping[str | None, frozenset[date]]
    outages: Mapping[str | None, frozenset[date]]
    lives: tuple[Life, ...]
    findings: tuple[Finding, ...]
    days_at_risk: tuple[DayAtRisk, ...] = field(repr=False)

    def totals(self) -> dict[str, CheckTotal]:
        """Count the findings of each check that has any; findings without a serial have no drive."""
        return {
            check: _total([f for f in self.findings if f.check == check])
            for check in sorted({f.check for f in self.findings})
        }

    def outcomes(self) -> dict[str, int]:
        """Count the drives by how their last life ended."""
        last = {(life.serial, life.model): life.outcome for life in self.lives}  # lives stand in order
        ends = ("failed", "retired", "vanished", "in service")
        return {end: sum(outcome == end for outcome in last.values()) for end in ends}

    def bridged(self) -> tuple[int, int]:
        """Count the absences bridged within lives, and their days (credited, though not reported)."""
        days = sum(life.drive_days - life.days_seen for life in self.lives)
        return self.absences_bridged, days

    absences_bridged: int = 0
    days_of: Mapping[tuple[str, str], Sequence[DriveDay]] = field(default_factory=dict, repr=False)


def _total(findings: Iterable[Finding]) -> CheckTotal:
    found = list(findings)
    drives = {(f.serial, f.model) for f in found if f.serial is not None}
    return CheckTotal(len(drives), sum(f.rows for f in found))
