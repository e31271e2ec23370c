"""A load is a transaction: killed at any moment, the store is as before or as after, and readers never notice."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import time
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from numpy.random import default_rng
from tiny_stores import csv_of, everything, loaded, manifest, put, refused, rows

from reliability.loaders.load import load
from reliability.loaders.store import open_store

if TYPE_CHECKING:
    from collections.abc import Iterator

KILLS = 10
ROOT = Path(__file__).parents[2]
LOADER = """
import sys
from pathlib import Path
from reliability.loaders.load import load
print("ready", flush=True)
for line in sys.stdin:
    load(line.split(), Path(sys.argv[1]))
    print("done", flush=True)
"""
HOLDER = """
import sys
from pathlib import Path
from reliability.loaders.manifest import held
with held(Path(sys.argv[1])):
    print("ready", flush=True)
    sys.stdin.read()
"""


@contextmanager
def process(code: str, store: Path) -> Iterator[subprocess.Popen[str]]:
    """A process that has said that it is ready; killed when it is no longer needed."""
    found = subprocess.Popen(  # noqa: S603  (the code stands above)
        [sys.executable, "-c", code, str(store)],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
    )
    try:
        assert found.stdout is not None
        assert found.stdout.readline() == "ready\n"
        yield found
    finally:
        found.kill()
        found.communicate()


def tell(loader: subprocess.Popen[str], *sources: Path) -> None:
    assert loader.stdin is not None
    loader.stdin.write(" ".join(map(str, sources)) + "\n")
    loader.stdin.flush()


@dataclass(frozen=True, slots=True)
class Case:
    """A store, what is loaded into it next, what it says before and after, and how long that takes."""

    store: Path
    news: Path
    before: dict[str, list[str]]
    after: dict[str, list[str]]
    seconds: float


@pytest.fixture(scope="module")
def case(tmp_path_factory: pytest.TempPathFactory) -> Case:
    folder = tmp_path_factory.mktemp("killed")
    store, source = folder / "fleet", folder / "source"
    for month, start in (("03", 0), ("04", 31)):
        history = [rows(f"S{n}", range(start, start + 25), failed={40 + n: "1"}) for n in range(6)]
        put(source / f"{month}.csv", csv_of(*history))
    load([str(source)], store)
    before = everything(store)
    put(
        source / "04.csv", csv_of(rows("S1", range(31, 45)), rows("S7", range(31, 60)))
    )  # in place of what was there
    put(source / "05.csv", csv_of(rows("S0", range(61, 75)), rows("S1", range(61, 75))))
    put(source / "06.csv", csv_of(rows("S1", range(92, 99))))
    shutil.copytree(store, folder / "after")
    with process(LOADER, folder / "after") as loader:
        began = time.monotonic()
        tell(loader, source)
        assert loader.stdout is not None
        assert loader.stdout.readline() == "done\n"
        seconds = time.monotonic() - began  # of a first load, as the killed ones are
    return Case(store, source, before, everything(folder / "after"), seconds)


def belongs(store: Path) -> set[str]:
    """Every file that the manifest of a store names."""
    known = manifest(store)
    named = {part for source in known["sources"].values() for part in source["parts"].values()}
    for month in known["months"].values():
        named |= {name for name in (month["stays"], month["repeats"]) if name is not None}
    return (
        named
        | set(known["tables"].values())
        | set((known["checkpoint"] or {"tables": {}})["tables"].values())
    )


def files(store: Path) -> set[str]:
    return {path.relative_to(store).as_posix() for path in store.rglob("*") if path.is_file()}


def test_killed_at_any_moment_it_is_as_before_or_as_after(case: Case, tmp_path: Path) -> None:
    rng = default_rng(20250301)
    store = tmp_path / "fleet"
    shutil.copytree(case.store, store)
    left_behind, answers = 0, set()
    for kill in range(KILLS):
        with process(LOADER, store) as loader:
            tell(loader, case.news)
            time.sleep(case.seconds * 1.2 * (kill + rng.random()) / KILLS)
        answer = everything(store)
        assert answer in (case.before, case.after), f"kill {kill}"
        assert open_store(store).exposure().total.drive_days > 0
        left_behind += len(files(store) - belongs(store) - {"manifest.json", ".lock"}) > 0
        if answer == case.after:
            shutil.rmtree(store)
            shutil.copytree(case.store, store)
        answers.add(answer == case.after)
    assert left_behind, "some kills struck while files were written"
    assert False in answers
    old = belongs(store)
    load([str(case.news)], store)
    assert everything(store) == case.after
    assert belongs(store) <= files(store)
    assert files(store) <= belongs(store) | old | {"manifest.json", ".lock"}, "and what they left is swept"


def test_a_reader_in_a_loop_never_fails_and_sees_before_or_after(case: Case, tmp_path: Path) -> None:
    store = tmp_path / "fleet"
    shutil.copytree(case.store, store)
    spare = [put(tmp_path / f"{n}.csv", csv_of(rows(f"R{n}", range(20 + n)))) for n in range(3)]
    seen: list[tuple[int, int]] = []
    with process(LOADER, store) as loader:
        for file in spare:
            tell(loader, file)
        done = 0
        while done < len(spare):
            opened = open_store(store)
            before = opened.manifest.generation
            total = opened.exposure().total
            assert opened.exposure(["model"]).total == total, "one opened store gives one answer"
            seen.append((before, total.drives))
            done = open_store(store).manifest.generation - 1
        assert loader.stdout is not None
        assert loader.stdout.readline() == "done\n"
    drives = len({row.split("serial ")[1].split(",")[0] for row in case.before["lives"]})
    assert {(generation, found - drives + 1) for generation, found in seen} <= {
        (1, 1),
        (2, 2),
        (3, 3),
        (4, 4),
    }
    assert len(seen) > 3


def test_the_second_of_two_loads_says_who_holds_the_store(
    case: Case, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    store = tmp_path / "fleet"
    shutil.copytree(case.store, store)
    with process(HOLDER, store) as holder:
        naming = [f"The store in {store} is held by another load (process {holder.pid})", "load again"]
        refused(capsys, tmp_path, "load", case.news, "--store", store, naming=naming)
    assert loaded(capsys, store, case.news)["files"] == 3, "the system lets go of it when the process dies"
    assert everything(store) == case.after
