"""`driveyears load`: files in, one commit, and what was read and rejected."""

from __future__ import annotations

from contextlib import nullcontext
from pathlib import Path
from typing import Annotated, Literal

from cyclopts import Parameter

from reliability.cli.options import DEFAULT_STORE, Format, StoreFolder
from reliability.cli.output import out, say, write_csv, write_json, write_table
from reliability.cli.progress import shown_progress
from reliability.cli.rejected import write_rejected
from reliability.digits import counted
from reliability.errors import QuestionError
from reliability.loaders.cluster.session import session_at
from reliability.loaders.load import load as load_files
from reliability.loaders.mapping import OWN_NAMES, read_mapping
from reliability.loaders.memory import USUAL, memory_of
from reliability.loaders.reading import Loaded
from reliability.loaders.store import Store, open_store

ROWS = ("files", "files_set_aside", "rows_read", "rows_kept", "rows_rejected", "duplicate_rows")
DRIVES = ("drives", "failed", "retired", "vanished", "in_service")


def load(  # noqa: PLR0913  (each is an option)
    *sources: Annotated[str, Parameter(help="files, folders or globs: CSV, CSV.gz, zip of CSV, Parquet")],
    store: StoreFolder = DEFAULT_STORE,
    mapping: Annotated[
        Path | None, Parameter(name="--mapping", help="TOML file that names the source's columns")
    ] = None,
    removals: Annotated[
        tuple[str, ...],
        Parameter(
            name="--removals",
            negative=(),
            show_default=False,
            help="CSV of what was pulled, with serial, date and outcome; may be named again",
        ),
    ] = (),
    engine: Annotated[
        Literal["embedded", "spark"],
        Parameter(help="spark: Parquet stays where it lies, and an Apache Spark cluster sums it up there"),
    ] = "embedded",
    master: Annotated[
        str | None, Parameter(name="--master", help="address of the cluster, such as spark://HOST:7077")
    ] = None,
    memory: Annotated[
        str | None, Parameter(name="--memory", help="the most to take, such as 500MB or 2GB; 500MB at least")
    ] = None,
    shown_as: Format = "table",
) -> None:
    """Read snapshots into a store and reduce them to lives.

    The same file again changes nothing, a changed one replaces its rows; killed at any moment, the store is
    as before or as after.
    """
    if not sources and not removals:
        raise QuestionError(
            "Nothing was named to load; name files, folders or globs of snapshots, or a removal log with --removals."
        )
    if (engine == "spark") != (master is not None):
        raise QuestionError(
            "--engine spark and --master go together; name both, as in --engine spark --master spark://HOST:7077."
        )
    rules = OWN_NAMES if mapping is None else read_mapping(mapping)
    shares = USUAL if memory is None else memory_of(memory)
    cluster = nullcontext() if master is None else session_at(master)
    with cluster as spark, shown_progress() as progress:
        done = load_files(
            sources, store, mapping=rules, removals=removals, progress=progress, memory=shares, spark=spark
        )
    for name, reason in done.set_aside.items():
        say(f"driveyears: set aside {name}: {reason}.")
    opened = open_store(store)
    for log in removals:
        _tell_log(opened, Path(log).resolve())
    payload = _payload(done, opened)
    if opened.manifest.sources and not opened.manifest.months:
        say(
            f"driveyears: every row was rejected, so the store in {store} can answer nothing yet; "
            "mend the files, or give a mapping that names their columns and forms, and load again."
        )
    if shown_as == "json":
        write_json(payload)
    elif shown_as == "csv":
        write_csv(payload["checks"], ["check", "drives", "rows"])  # type: ignore[arg-type]  # the list of rows
    else:
        _write_table(done, opened)


def _tell_log(store: Store, path: Path) -> None:
    """Entries that nobody will hear of again have to be told: each may be a failure."""
    entry = store.manifest.logs[path.as_posix()]
    if entry.rows_rejected:
        say(
            f"driveyears: {entry.rows_rejected:,} of {counted(entry.rows_read, 'row')} of the removal log "
            f"{path} cannot be used: `driveyears checks --store {store.folder}` says why. "
            "Mend the log, and load it again."
        )


def _payload(done: Loaded, opened: Store) -> dict[str, object]:
    """The accounts as `checks` has them.

    Rows and files are those of this load, drives and checks those of the store after it.
    """
    accounts = opened.accounts()
    rows = (
        done.files,
        len(done.set_aside),
        done.rows_read,
        done.rows_kept,
        done.rows_rejected,
        done.duplicate_rows,
    )
    checks = [{"check": f.check, "drives": f.drives, "rows": f.rows} for f in opened.findings()]
    return {
        **dict(zip(ROWS, rows, strict=True)),
        **{name: getattr(accounts, name) for name in DRIVES},
        "checks": checks,
    }


def _write_table(done: Loaded, opened: Store) -> None:
    headings = ("Files read", "Unchanged", "Set aside", "Rows read", "Kept", "Rejected", "Duplicates")
    counts = (
        done.files,
        done.files_unchanged,
        len(done.set_aside),
        done.rows_read,
        done.rows_kept,
        done.rows_rejected,
        done.duplicate_rows,
    )
    write_table(
        f"Loaded into {opened.folder}",
        [(name, "right") for name in headings],
        [[f"{count:,}" for count in counts]],
    )
    if done.rows_rejected:
        write_rejected(opened)
        rejects = opened.folder / opened.manifest.tables["rejects"]
        out().print(f"Each rejected row with its file, line, column and reason: {rejects}", markup=False)
