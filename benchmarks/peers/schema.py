"""The columns of the generated fleet with their types: what the bare programs know beforehand, and `load` finds out."""

from __future__ import annotations

COLUMNS = {
    "date": "DATE",
    "serial": "VARCHAR",
    "model": "VARCHAR",
    "capacity_tb": "DOUBLE",
    "failed": "INTEGER",
    "power_on_hours": "DOUBLE",
    "temperature_c": "DOUBLE",
    "bytes_written": "DOUBLE",
    "reallocated_sectors": "DOUBLE",
    "pending_sectors": "DOUBLE",
    "reported_uncorrectable": "DOUBLE",
    "interface_crc_errors": "DOUBLE",
    "site": "VARCHAR",
    "rack": "VARCHAR",
}
