"""The columns read from a snapshot: name, type, unit, meaning.

The one list that loaders, dictionary and documentation share.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Literal

Kind = Literal["date", "text", "flag", "number"]


@dataclass(frozen=True, slots=True)
class Column:
    """One column of the snapshots table."""

    name: str
    kind: Kind
    unit: str
    meaning: str
    required: bool = False

    @property
    def sql_type(self) -> str:
        """The type it has in the store."""
        return {"date": "DATE", "text": "VARCHAR", "flag": "BOOLEAN", "number": "DOUBLE"}[self.kind]


SNAPSHOT_COLUMNS = (
    Column("date", "date", "calendar day", "the day the row stands for", required=True),
    Column("serial", "text", "", "serial number of the drive", required=True),
    Column("model", "text", "", "model name of the drive", required=True),
    Column("failed", "flag", "", "true on the day on which the drive failed"),
    Column("capacity_tb", "number", "TB (10^12 bytes)", "capacity"),
    Column("power_on_hours", "number", "h", "hours powered on since new"),
    Column("temperature_c", "number", "degrees Celsius", "temperature when read"),
    Column("bytes_written", "number", "bytes", "written since new"),
    Column("bytes_read", "number", "bytes", "read since new"),
    Column(
        "reallocated_sectors",
        "number",
        "sectors",
        "sectors replaced by spare ones (ATA attribute 5 by habit)",
    ),
    Column(
        "pending_sectors", "number", "sectors", "sectors waiting for replacement (ATA attribute 197 by habit)"
    ),
    Column(
        "offline_uncorrectable",
        "number",
        "sectors",
        "sectors unreadable offline (ATA attribute 198 by habit)",
    ),
    Column(
        "reported_uncorrectable", "number", "errors", "errors told to the host (ATA attribute 187 by habit)"
    ),
    Column("command_timeouts", "number", "commands", "commands timed out (ATA attribute 188 by habit)"),
    Column(
        "interface_crc_errors",
        "number",
        "errors",
        "transfer errors on the cable (ATA attribute 199 by habit)",
    ),
    Column("media_errors", "number", "errors", "unrecovered data integrity errors (NVMe health log)"),
    Column("percentage_used", "number", "%", "share of rated endurance used, may pass 100 (NVMe health log)"),
    Column("available_spare", "number", "%", "spare capacity left (NVMe health log)"),
    Column("site", "text", "", "where the drive stands"),
    Column("rack", "text", "", "rack or enclosure within the site"),
    Column("batch", "text", "", "delivery or production batch"),
)

NAMES = tuple(column.name for column in SNAPSHOT_COLUMNS)
REQUIRED = tuple(column.name for column in SNAPSHOT_COLUMNS if column.required)
TEXTS = tuple(column.name for column in SNAPSHOT_COLUMNS if column.kind == "text")
NUMBERS = tuple(column.name for column in SNAPSHOT_COLUMNS if column.kind == "number")
COUNTERS = NAMES[NAMES.index("reallocated_sectors") : NAMES.index("site")]
FIRST_DAY = date(1000, 1, 1)  # a year has four digits; what is before is a slip, not a day of a fleet
