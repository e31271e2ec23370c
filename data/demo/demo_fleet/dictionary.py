"""Every column explained, as Data Package Table Schemas."""

from __future__ import annotations

from typing import Any

from demo_fleet.layout import LANTERN_COLUMNS

Field = dict[str, Any]
ALWAYS = {
    "since": "2024-01",
    "until": "2026-09",
}  # the first and the last month of files that have the column


def _field(name: str, kind: str, unit: str, description: str) -> Field:
    field: Field = {"name": name, "type": kind, "description": description}
    if unit:
        field["unit"] = unit
    return field | ALWAYS


def _snapshot_fields() -> list[Field]:
    count = "sectors"
    return [
        _field("date", "date", "", "Day of the reading, in local time; one row a drive and day."),
        _field("power_on_hours", "integer", "h", "Hours under power so far, as the drive counts them."),
        _field("serial", "string", "", "Serial number: with the model, it tells one drive from another."),
        _field("model", "string", "", "Model as the collector spelt it."),
        _field("capacity_tb", "number", "TB", "Nominal size in units of 10^12 bytes.") | {"until": "2025-12"},
        _field("batch", "string", "", "Delivery that the drive came with, marked by the archive."),
        _field("site", "string", "", "House the drive is in; blank for two drives on loan."),
        _field("failed", "boolean", "", "Whether the drive has failed, this day or before."),
        _field("temperature_c", "integer", "degrees Celsius", "Temperature at the reading."),
        _field(
            "reallocated_sectors",
            "integer",
            count,
            "Sectors replaced by spare ones so far (often attribute 5).",
        ),
        _field("rack", "string", "", "Rack in that house.") | {"since": "2024-04"},
        _field(
            "pending_sectors",
            "integer",
            count,
            "Sectors that could not be read and wait to be rewritten (often attribute 197).",
        )
        | {"since": "2024-04"},
        _field(
            "interface_crc_errors",
            "integer",
            "errors",
            "Damaged transfers between drive and controller so far (often attribute 199).",
        )
        | {"since": "2025-01"},
        _field("bytes_written", "integer", "bytes", "Bytes written by hosts so far.") | {"since": "2025-01"},
        _field("bytes_read", "integer", "bytes", "Bytes read by hosts so far.") | {"since": "2025-01"},
        _field(
            "reported_uncorrectable",
            "integer",
            "errors",
            "Reads that could not be mended and were reported so far (often attribute 187).",
        )
        | {"since": "2026-01"},
    ]


def _lantern_fields() -> list[Field]:
    ours = {field["name"]: field for field in _snapshot_fields()}
    fields = []
    for name, theirs in LANTERN_COLUMNS.items():
        if name == "firmware":
            field = _field(
                "firmware", "string", "", "Firmware of the drive; kept because the mapping asks for it."
            )
        else:
            field = ours[name] | {"name": theirs} | ALWAYS
        fields.append(field | {"ours": name})
    changes: dict[str, Field] = {
        "reading_day": {"format": "%d.%m.%Y"},
        "size_gb": {"unit": "GB", "description": "Nominal size in units of 10^9 bytes."},
        "condition": {
            "type": "string",
            "constraints": {"enum": ["sound", "lost", "gave up"]},
            "description": "State of the drive; `lost` (2024) and `gave up` (since 2025) mean a failure.",
        },
        "remapped": {"since": "2025-01"},
        "house": {"description": "House the drive is in."},
        "shelf": {"description": "Rack in that house."},
        "kind": {"description": "Model, in the words of this house; the mapping says which model it is."},
    }
    return [field | changes.get(field["name"], {}) for field in fields]


def _removal_fields() -> list[Field]:
    outcome = {"constraints": {"required": True, "enum": ["failed", "retired", "moved"]}}
    model = "Model of the drive; needed only where two models share a serial number."
    return [
        _field("serial", "string", "", "Serial number of the drive."),
        _field("date", "date", "", "Day that the entry speaks of."),
        _field("outcome", "string", "", "What became of the drive.") | outcome,
        _field("model", "string", "", model),
        _field("reason", "string", "", "Why, in the words of whoever made the entry."),
    ]


def _schema(
    title: str, fields: list[Field], key: tuple[str, ...], required: tuple[str, ...]
) -> dict[str, Any]:
    for field in fields:
        if field["name"] in required:
            field["constraints"] = field.get("constraints", {}) | {"required": True}
        if field["type"] == "boolean":
            field.update(trueValues=["yes", "1"], falseValues=["no", "0"])
    return {"title": title, "fields": fields, "missingValues": [""], "primaryKey": list(key)}


def schemas() -> dict[str, dict[str, Any]]:
    """Return the schemas by the name of their file.

    They say what the columns are meant to hold. The dirt that was planted breaks them here and there.
    """
    house = ("serial", "model", "date")
    lantern = ("disk", "kind", "reading_day")
    log = ("serial", "date", "outcome")
    return {
        "house.schema.json": _schema("Daily readings, folder house", _snapshot_fields(), house, house),
        "lantern.schema.json": _schema("Daily readings, folder lantern", _lantern_fields(), lantern, lantern),
        "removals.schema.json": _schema("Removal log, removals.csv", _removal_fields(), log, log),
    }
