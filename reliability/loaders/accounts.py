"""What a store is made of: the accounts that must add up."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from reliability.digits import counted

if TYPE_CHECKING:
    from datetime import date


@dataclass(frozen=True, slots=True)
class SourceAccount:
    """One file: rows read = kept + rejected + duplicates."""

    name: str
    digest: str
    rows_read: int
    rows_kept: int
    rows_rejected: int
    duplicate_rows: int


@dataclass(frozen=True, slots=True)
class SetAside:
    """A file that could not be used, and why."""

    name: str
    reason: str


@dataclass(frozen=True, slots=True)
class CheckTotal:
    """How often a check found something."""

    check: str
    drives: int
    rows: int
    findings: int
    meaning: str
    price: str


@dataclass(frozen=True, slots=True)
class Bridged:
    """Absences within lives, and the drive-days credited for them though nothing was reported."""

    gaps: int
    drive_days: int


@dataclass(frozen=True, slots=True)
class Silent:
    """Drives of a model that count as in service though long unseen, for their whole site fell silent."""

    model: str
    site: str | None
    drives: int
    last_day: date

    def __str__(self) -> str:
        """One sentence."""
        drives, site = counted(self.drives, "drive"), self.site or "no named site"
        return (
            f"{self.model}: {drives} at {site}, which fell silent; last seen on {self.last_day}, "
            "in service up to then as far as is known."
        )


@dataclass(frozen=True, slots=True)
class Outcomes:
    """How the last life of each drive of a model ended: failed + retired + vanished + in service = drives."""

    model: str
    drives: int
    failed: int
    retired: int
    vanished: int
    in_service: int


@dataclass(frozen=True, slots=True)
class Accounts:
    """The whole store in numbers."""

    files: int
    files_set_aside: int
    rows_read: int
    rows_kept: int
    rows_rejected: int
    duplicate_rows: int
    drives: int
    failed: int
    retired: int
    vanished: int
    in_service: int
