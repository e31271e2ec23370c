"""What a store is made of: the accounts that must add up."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from reliability.digits import counted
from reliability.loaders.checks import CHECKS

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence
    from datetime import date

    from reliability.loaders.manifest import Manifest


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
class Rejections:
    """How many rows were rejected for one reason, with the first of them.

    column  as the file calls it; None if the line could not be cut
    """

    rows: int
    column: str | None
    reason: str
    value: str | None
    file: str
    line: int


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


def accounts(manifest: Manifest, outcomes: Sequence[Outcomes]) -> Accounts:
    """Add up what the files came to, and how the drives of all models stand."""
    sources = manifest.sources.values()
    return Accounts(
        files=len(manifest.sources),
        files_set_aside=len(manifest.set_aside),
        rows_read=sum(source.rows_read for source in sources),
        rows_kept=sum(source.rows_kept for source in sources),
        rows_rejected=sum(source.rows_rejected for source in sources),
        duplicate_rows=sum(source.duplicate_rows for source in sources),
        drives=sum(outcome.drives for outcome in outcomes),
        failed=sum(outcome.failed for outcome in outcomes),
        retired=sum(outcome.retired for outcome in outcomes),
        vanished=sum(outcome.vanished for outcome in outcomes),
        in_service=sum(outcome.in_service for outcome in outcomes),
    )


def source_accounts(manifest: Manifest) -> tuple[SourceAccount, ...]:
    """Each file of snapshots, in the order of names."""
    return tuple(
        SourceAccount(name, s.digest, s.rows_read, s.rows_kept, s.rows_rejected, s.duplicate_rows)
        for name, s in sorted(manifest.sources.items())
    )


def check_totals(counted_rows: Iterable[tuple[str, int, int, int]]) -> tuple[CheckTotal, ...]:
    """Code, drives, rows and findings of checks, with their words, in the order of the list of checks."""
    found = {code: (drives, rows, findings) for code, drives, rows, findings in counted_rows}
    return tuple(
        CheckTotal(check.code, *found[check.code], check.meaning, check.price)
        for check in CHECKS
        if check.code in found
    )
