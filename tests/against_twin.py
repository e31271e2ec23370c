"""What a store says, held against what the slow reader found: differences as sentences."""

from __future__ import annotations

from collections import Counter
from dataclasses import asdict
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from slow.exposure import Exposure
    from slow.nouns import Finding, Truth

Row = dict[str, Any]  # as an engine gives it: the table's columns by name

FINDING = ("check", "serial", "model", "first_day", "rows")


def differences(store_lives: Sequence[Row], store_findings: Sequence[Row], truth: Truth) -> list[str]:
    """Compare the tables `lives` and `checks` with the truth, in the columns that the truth has."""
    return lives_apart(store_lives, truth) + findings_apart(store_findings, truth.findings)


def lives_apart(store_lives: Sequence[Row], truth: Truth) -> list[str]:
    """Compare lives by serial, model and number of the life, column by column."""
    theirs = {_life_key(row): row for row in store_lives}
    ours = {_life_key(row): row for row in map(asdict, truth.lives)}
    found = [f"{key}: {n} rows" for key, n in Counter(map(_life_key, store_lives)).items() if n > 1]
    found += [f"{key}: a life that is none: {_short(theirs[key])}" for key in theirs if key not in ours]
    for key, row in ours.items():
        if key not in theirs:
            found.append(f"{key}: missing: {_short(row)}")
            continue
        for name, value in row.items():
            if _plain(theirs[key].get(name, "no such column")) != _plain(value):
                theirs_is = theirs[key].get(name, "no such column")
                found.append(f"{key} {name}: {theirs_is!r}, should be {value!r} (life {_short(row)})")
    return found


def findings_apart(store_findings: Sequence[Row], truth: Iterable[Finding]) -> list[str]:
    """Compare findings as a bag of their first columns, and look for the site or model in the detail."""
    details: dict[tuple[str, ...], list[str]] = {}
    for row in store_findings:
        details.setdefault(tuple(_plain(row[name]) for name in FINDING), []).append(str(row.get("detail")))
    found = []
    for finding in sorted(truth, key=lambda f: -len(f.names)):  # those that ask for a name choose first
        key = tuple(_plain(getattr(finding, name)) for name in FINDING)
        fitting = [d for d in details.get(key, []) if all(name in d for name in finding.names)]
        if fitting:
            details[key].remove(fitting[0])
        else:
            near = [k for k in details if k[:3] == key[:3] and details[k]]
            found.append(f"finding missing: {' '.join(key)} {' '.join(finding.names)}; near it: {near}")
    return found + [
        f"finding that is none: {' '.join(k)} ({d})" for k, of_key in details.items() for d in of_key
    ]


def exposure_apart(store_cells: Sequence[Row], left_out: Row, total: Row, truth: Exposure) -> list[str]:
    """Compare cells (a row holds labels, drives, drive_days, failures), what is left out, the total."""
    ours = {_cell_key(dict(cell.labels)): asdict(cell) for cell in truth.cells}
    counts = ("drives", "drive_days", "failures")
    theirs = {_cell_key({k: v for k, v in row.items() if k not in counts}): row for row in store_cells}
    pairs: list[tuple[object, Mapping[str, Any] | None, Mapping[str, Any] | None]] = [
        (key, theirs.get(key), ours.get(key)) for key in sorted(theirs.keys() | ours.keys())
    ]
    pairs += [("left out", left_out, asdict(truth.left_out)), ("total", total, asdict(truth.total))]
    found = []
    for key, their, our in pairs:
        shown = [[None if row is None else row[name] for name in counts] for row in (their, our)]
        if shown[0] != shown[1]:
            found.append(f"exposure {key}: drives, drive-days, failures are {shown[0]}, should be {shown[1]}")
    return found


def accounts_apart(store_sources: Iterable[Row], truth: Truth) -> list[str]:
    """Compare rows_read, rows_kept, rows_rejected, duplicate_rows of each file; names by their last part."""
    ours = {
        account.name: (account.rows_read, account.kept, len(account.rejected), account.duplicates)
        for account in truth.files
    }
    theirs = {}
    for row in store_sources:
        name = str(row["name"]).rsplit("/", 1)[-1].removesuffix(".gz")
        theirs[name] = tuple(row[n] for n in ("rows_read", "rows_kept", "rows_rejected", "duplicate_rows"))
    return [
        f"{name}: read, kept, rejected, duplicates are {theirs.get(name)}, should be {ours.get(name)}"
        for name in sorted(theirs.keys() | ours.keys())
        if theirs.get(name) != ours.get(name)
    ]


def _life_key(row: Row) -> tuple[str, str, int]:
    return row["serial"], row["model"], int(row["life"])


def _cell_key(labels: Mapping[str, Any]) -> str:
    return ", ".join(f"{name} {labels[name]}" for name in sorted(labels))


def _short(row: Row) -> str:
    return f"{row['first_day']} to {row['last_day']}, {row['outcome']}"


def _plain(value: object) -> str:
    """Give a value as text in which engines agree: a day as a day, a missing value as nothing."""
    if value is None or value != value or str(value) in {"NaT", "<NA>"}:  # noqa: PLR0124  (only nan differs from itself)
        return ""
    if isinstance(value, float) and value.is_integer():
        return str(int(value))
    return str(value).removesuffix(" 00:00:00")
