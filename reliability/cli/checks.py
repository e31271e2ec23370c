"""`driveyears checks`: what is odd in the histories, counted, and the price of each."""

from __future__ import annotations

from dataclasses import asdict

from reliability.cli.options import DEFAULT_STORE, Format, StoreFolder
from reliability.cli.output import out, write_csv, write_json, write_table
from reliability.cli.rejected import write_rejected
from reliability.loaders.accounts import Accounts
from reliability.loaders.store import open_store


def checks(*, store: StoreFolder = DEFAULT_STORE, shown_as: Format = "table") -> None:
    """What is odd in the histories: rows that were rejected, files set aside, and every check that found something.

    Nothing is repaired or dropped in silence: rows read = kept + rejected + duplicates, for each file.
    """
    opened = open_store(store)
    accounts, findings = opened.accounts(), opened.findings()
    rows = [{"check": f.check, "drives": f.drives, "rows": f.rows} for f in findings]
    if shown_as == "json":
        write_json({**asdict(accounts), "checks": rows})
        return
    if shown_as == "csv":
        write_csv(rows, ["check", "drives", "rows"])
        return
    _write_accounts(accounts)
    write_table(
        "Checks",
        [
            ("Check", "left"),
            ("Drives", "right"),
            ("Rows", "right"),
            ("Times", "right"),
            ("What was found", "left"),
            ("What it does to the results", "left"),
        ],
        [[f.check, f"{f.drives:,}", f"{f.rows:,}", f"{f.findings:,}", f.meaning, f.price] for f in findings],
    )
    if opened.set_aside():
        write_table(
            "Files set aside",
            [("File", "left"), ("Why", "left")],
            [[s.name, s.reason] for s in opened.set_aside()],
        )
    write_rejected(opened)
    tables = opened.manifest.tables
    told = [f"each finding: {store / tables['checks']}"] if "checks" in tables else []
    told += (
        [f"each rejected row with file, line, column and reason: {store / tables['rejects']}"]
        if "rejects" in tables
        else []
    )
    if told:
        out().print(f"Where they are: {'; '.join(told)}.", markup=False)


def _write_accounts(accounts: Accounts) -> None:
    write_table(
        "Accounts",
        [
            ("Files", "right"),
            ("Set aside", "right"),
            ("Rows read", "right"),
            ("Kept", "right"),
            ("Rejected", "right"),
            ("Duplicates", "right"),
        ],
        [
            [
                f"{n:,}"
                for n in (
                    accounts.files,
                    accounts.files_set_aside,
                    accounts.rows_read,
                    accounts.rows_kept,
                    accounts.rows_rejected,
                    accounts.duplicate_rows,
                )
            ]
        ],
    )
    write_table(
        "Drives by how their last life ended",
        [
            ("Drives", "right"),
            ("Failed", "right"),
            ("Retired", "right"),
            ("Vanished", "right"),
            ("In service", "right"),
        ],
        [
            [
                f"{n:,}"
                for n in (
                    accounts.drives,
                    accounts.failed,
                    accounts.retired,
                    accounts.vanished,
                    accounts.in_service,
                )
            ]
        ],
    )
