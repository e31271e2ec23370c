"""Dirty fleets loaded into a store and held against the slow reader.

`PYTHONPATH=. python tests/sweep.py 0 100` takes 100 seeds from 0 on and prints what differs.

Each fleet is loaded at once and again in several loads, in any order, with a file whose rows are replaced later;
both stores have to say what the slow reader says.
"""

from __future__ import annotations

import sys
import tempfile
from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING, Any

import duckdb
from against_twin import accounts_apart, differences, exposure_apart
from dirty.plans import pick
from fleets import ALL_DIRT, Fleet, Size, make_fleet, mapping_toml, write_files, write_log
from numpy.random import default_rng
from slow.exposure import exposure
from slow.reasons import retired

from reliability.loaders.load import load
from reliability.loaders.mapping import read_mapping
from reliability.loaders.reasons import PLAIN_WORDS
from reliability.loaders.store import Store, open_store

if TYPE_CHECKING:
    from collections.abc import Iterable

    import numpy as np
    from slow.nouns import Truth

    from reliability.loaders.exposure import Cell

GROUPINGS = (
    ["model"],
    ["quarter"],
    ["age"],
    ["site"],
    ["rack", "batch"],
    ["model", "age", "site", "quarter"],
)


def fleet_of(seed: int) -> Fleet:
    """Make a fleet; every other one has few kinds of dirt, every eighth comes in daily files, which take long."""
    rng = default_rng(seed)
    size = Size(*(int(rng.integers(low, high)) for low, high in ((8, 25), (60, 160), (1, 5), (1, 4))))
    dirt = ALL_DIRT
    if seed % 2:
        dirt = {kind: amount for kind, amount in ALL_DIRT.items() if rng.random() < 0.4}
    period = "day" if seed % 8 == 7 else pick(rng, ("month", "quarter", "one"))
    return make_fleet(rng, size, period=period, dirt=dirt)


def load_at_once(fleet: Fleet, folder: Path) -> Path:
    """Load all files and the log of a fleet together."""
    files = write_files(fleet.files, folder / "source")
    _load(fleet, folder, files, with_log=True)
    return folder / "store"


def load_bit_by_bit(fleet: Fleet, set_aside: Iterable[str], folder: Path, rng: np.random.Generator) -> Path:
    """Load the files of a fleet in any order; one of them is first loaded with half its rows only."""
    written = write_files(fleet.files, folder / "source")
    files = [file for file in written if file.name not in set_aside]
    rng.shuffle(files)
    loads = int(rng.integers(2, 5))
    parts = [files[start::loads] for start in range(loads) if files[start::loads]]
    parts[0] += [file for file in written if file.name in set_aside]  # a load of these alone is refused
    replaced, text = files[0], files[0].read_text(encoding="utf-8")
    lines = text.splitlines(keepends=True)
    replaced.write_text("".join([lines[0], *lines[1::2]]), encoding="utf-8")
    log_comes_with = int(rng.integers(len(parts)))
    for number, part in enumerate(parts):
        _load(fleet, folder, part, with_log=number == log_comes_with)
    replaced.write_text(text, encoding="utf-8")
    _load(fleet, folder, [replaced], with_log=False)
    return folder / "store"


def _load(fleet: Fleet, folder: Path, files: Iterable[Path], *, with_log: bool) -> None:
    logs = [str(write_log(fleet.log, folder / "log.csv"))] if with_log else []
    sources, store = [str(file) for file in files], folder / "store"
    mapping = folder / "mapping.toml"
    mapping.write_text(mapping_toml(fleet.aliases, fleet.failure), encoding="utf-8")
    load(sources, store, mapping=read_mapping(mapping), removals=logs)


def store_apart(folder: Path, truth: Truth) -> list[str]:
    """Say where a store differs from the truth: lives, findings, rows, rejects, exposure, totals."""
    store = open_store(folder)
    found = differences(_table(folder, "lives"), _table(folder, "checks"), truth)
    found += accounts_apart([asdict(source) for source in store.sources()], truth)
    found += _rejects_apart(_table(folder, "rejects"), truth)
    found += _totals_apart(store, truth)
    days = sorted({day.day for day in truth.days_at_risk})
    for window in ((None, None), (days[len(days) // 3], days[2 * len(days) // 3])):
        for by in GROUPINGS:
            said = store.exposure(by, *window)
            cells: list[dict[str, Any]] = [{**cell.labels, **_counts(cell)} for cell in said.cells]
            right = exposure(truth.days_at_risk, by, *window)
            found += exposure_apart(cells, _counts(said.left_out), _counts(said.total), right)
    return found


def _table(folder: Path, name: str) -> list[dict[str, Any]]:
    """Read a table of a store: the one that the last load wrote."""
    newest = max(folder.glob(f"{name}-*.parquet"), key=lambda path: int(path.stem.rpartition("-")[2]))
    with duckdb.connect() as con:
        rows = con.execute("from read_parquet($path)", {"path": str(newest)})
        names = [column[0] for column in rows.description or []]
        return [dict(zip(names, row, strict=True)) for row in rows.fetchall()]


def _counts(cell: Cell) -> dict[str, int]:
    return {"drives": cell.drives, "drive_days": cell.drive_days, "failures": cell.failures}


def _rejects_apart(rejects: Iterable[dict[str, Any]], truth: Truth) -> list[str]:
    theirs = {
        (Path(row["file"]).name.removesuffix(".gz"), row["line"], row["column_name"] or "") for row in rejects
    }
    ours = {(file.name, row.line, row.column or "") for file in truth.files for row in file.rejected}
    sides = [("that is none", theirs - ours), ("missing", ours - theirs)]
    return [f"reject {what}: {row}" for what, side in sides for row in sorted(side)]


def _totals_apart(store: Store, truth: Truth) -> list[str]:
    totals = {total.check: (total.drives, total.rows) for total in store.findings()}
    right = {check: (total.drives, total.rows) for check, total in truth.totals().items()}
    accounts, bridged = asdict(store.accounts()), store.bridged()
    pairs = [(f"total of {check}", totals.get(check, (0, 0)), right[check]) for check in sorted(right)]
    pairs += [(f"total of {check}", totals[check], (0, 0)) for check in sorted(totals.keys() - right.keys())]
    pairs.append(("bridged", (bridged.gaps, bridged.drive_days), truth.bridged()))
    found = [f"{what}: {theirs}, should be {ours}" for what, theirs, ours in pairs if theirs != ours]
    by_kind = retired(truth.lives, [PLAIN_WORDS])
    for each in store.retirements():
        unclear = sum(lives for _, lives in each.unclear)
        for kind, lives in (("preemptive", each.preemptive), ("planned", each.planned), ("unclear", unclear)):
            if lives != by_kind.pop((each.model, kind), 0):
                found.append(f"{each.model}: {lives} lives retired as {kind}, which is not so")
    found += [
        f"{model}: {lives} lives retired as {kind} are missing" for (model, kind), lives in by_kind.items()
    ]
    for end, drives in truth.outcomes().items():
        if accounts[end.replace(" ", "_")] != drives:
            found.append(f"drives {end}: {accounts[end.replace(' ', '_')]}, should be {drives}")
    return found


def apart(seed: int, folder: Path) -> list[str]:
    """Say where the stores of one fleet, loaded both ways, differ from the truth."""
    fleet = fleet_of(seed)
    truth = fleet.truth()
    at_once = store_apart(load_at_once(fleet, folder / "at-once"), truth)
    by_bits = store_apart(
        load_bit_by_bit(fleet, truth.set_aside, folder / "by-bits", default_rng(seed)), truth
    )
    return [f"at once: {said}" for said in at_once] + [f"bit by bit: {said}" for said in by_bits]


def main(first: int, seeds: int) -> int:
    """Sweep over seeds and print what differs; the exit code is 1 if anything does."""
    bad = 0
    for seed in range(first, first + seeds):
        with tempfile.TemporaryDirectory() as folder:
            said = apart(seed, Path(folder))
        bad += bool(said)
        for sentence in said[:10]:
            sys.stdout.write(f"seed {seed}, {sentence[:400]}\n")
    sys.stdout.write(f"{bad} of {seeds} fleets differ\n")
    return int(bad > 0)


if __name__ == "__main__":
    sys.exit(main(int(sys.argv[1]), int(sys.argv[2])))
