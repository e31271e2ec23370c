"""What was read, set aside, bridged and found odd: the store's own accounts as the report tells them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from reliability.digits import counted

if TYPE_CHECKING:
    from reliability.loaders.accounts import Accounts, Bridged, CheckTotal, SetAside, Silent


@dataclass(frozen=True, slots=True)
class DataAccounts:
    """The store's accounts, all of it, not only the quarter."""

    total: Accounts
    set_aside: tuple[SetAside, ...]
    bridged: Bridged
    findings: tuple[CheckTotal, ...]
    silent: tuple[Silent, ...] = ()

    @property
    def unaccounted_rows(self) -> int:
        """Rows read that are neither kept, rejected nor duplicates; any but 0 is a fault of the store."""
        rows = self.total
        return rows.rows_read - rows.rows_kept - rows.rows_rejected - rows.duplicate_rows

    @property
    def sentences(self) -> tuple[str, str]:
        """Say whether the rows add up, and what counts without a report."""
        return self._rows(), self._bridged()

    def _rows(self) -> str:
        rows = self.total
        parts = (
            f"{rows.rows_kept:,} kept + {rows.rows_rejected:,} rejected + {rows.duplicate_rows:,} duplicates"
        )
        if not self.unaccounted_rows:
            return f"The rows add up: {rows.rows_read:,} read = {parts}."
        return (
            f"The rows do not add up: {rows.rows_read:,} read against {parts}. "
            "This is a fault of the store; do not rely on its results."
        )

    def _bridged(self) -> str:
        if not self.bridged.gaps:
            return "No drive was absent and came back: no day counts without a report."
        return (
            "A drive that was absent and came back within 30 days, outages of its site not counted, is taken "
            f"to have run: {counted(self.bridged.gaps, 'absence')} bridged, "
            f"{counted(self.bridged.drive_days, 'drive-day')} credited without a report."
        )
