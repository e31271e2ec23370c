"""What is carried over from older months is never relied on when it is no longer so.

Three months are loaded one by one; then comes news of an old one. The store says what one says that is made anew.
"""

from __future__ import annotations

import json
import shutil
from contextlib import contextmanager
from dataclasses import dataclass
from typing import TYPE_CHECKING

import pytest
from tiny_stores import Rows, csv_of, day, everything, lives, manifest, put, rows, table

from reliability.loaders.load import load
from reliability.loaders.manifest import NAME
from reliability.loaders.mapping import OWN_NAMES, read_mapping

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence
    from pathlib import Path

LAST = 90  # 2025-05-29
CLOCK = {number: str(24 * (number + 1) + 7) for number in range(-60, LAST + 200)}
EAST = [*range(29), *range(71, LAST)]  # silent as a whole from the end of March to early May


def fleet() -> Rows:
    """Two sites with several drives, one with a single drive, and drives without a site."""
    return [
        *rows("N1", range(LAST), site="north", power_on_hours=CLOCK),
        *rows("N2", range(5, 40), site="north", power_on_hours=CLOCK),
        *rows("N3", [*range(10), *range(52, LAST)], site="north", rack="r1"),
        *rows("N4", range(60), site="north", failed={45: "1"}, power_on_hours=CLOCK),
        *rows(
            "N5",
            range(8, LAST),
            model="TRN T18",
            site={n: "north" if n < 50 else "loft" for n in range(LAST)},
        ),
        *rows("E1", EAST, site="east", power_on_hours=CLOCK),
        *rows("E2", EAST, site="east"),
        *rows(
            "W1", [*range(6), *range(16, 27)], site="west"
        ),  # a gap, for nobody else says that nothing was collected
        *rows("W2", range(6), site="west"),
        *rows("Q1", [*range(20), *range(60, LAST)], site="quay", power_on_hours=CLOCK),
        *rows("U", [*range(33), *range(68, LAST)]),
    ]


@dataclass(frozen=True, slots=True)
class News:
    """What comes later: files, new ones or in place of old ones, a log, a mapping."""

    files: dict[str, str]
    log: str = ""
    mapping: str = ""


OLD = rows("N3", range(20, 41), site="north")
NEWS = {
    "rows in an old gap": News({"late.csv": csv_of(OLD)}),
    "rows before all others": News(
        {"late.csv": csv_of(rows("N1", range(-40, 0), site="north", power_on_hours="5"))}
    ),
    "a flag in an old month, days known from another file": News(
        {
            "late.csv": csv_of(
                rows("N1", [33], site="north", failed="1"), rows("N5", [33, 34], site="east", rack="r9")
            )
        }
    ),
    "an old file replaced": News({"2025-03.csv": csv_of(rows("N1", range(3, 25)), rows("X", range(40, 60)))}),
    "a second drive for a site, now": News({"late.csv": csv_of(rows("Q2", range(80, LAST), site="quay"))}),
    "a second drive for a site, back then": News({"late.csv": csv_of(rows("Q2", [3, 70], site="quay"))}),
    "a drive that ends an old outage": News({"late.csv": csv_of(rows("E3", [50, 51], site="east"))}),
    "a second witness of an outage in a closed month": News(
        {"late.csv": csv_of(rows("W2", [95], site="west"))}
    ),
    "the next month, and one after months of nothing": News(
        {f"{n}.csv": csv_of(rows("N1", [n], site="north"), rows("E1", [n], site="east")) for n in (95, 180)}
    ),
    "a log of old days": News(
        {}, log=f"N2,{day(41)},failed\nN5,{day(50)},moved\nQ1,{day(19)},retired\nN1,{day(30)},failed\n"
    ),
    "another name for an old model": News(
        {"late.csv": csv_of(rows("Z", [85]))}, mapping='[models]\n"TARN T18" = ["TRN T18"]\n'
    ),
}


def load_all(folder: Path, store: Path, news: News | None = None, *, names: Sequence[str] = ()) -> None:
    log = []
    if news is not None and news.log:
        log = [str(put(store.parent / "removals.csv", "serial,date,outcome\n" + news.log))]
    rules = OWN_NAMES
    if news is not None and news.mapping:
        rules = read_mapping(put(store.parent / "m.toml", news.mapping))
    load([str(folder / name) for name in names], store, mapping=rules, removals=log)


@pytest.fixture(scope="module")
def months(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with a file a month, and the store that took them one by one."""
    folder = tmp_path_factory.mktemp("months")
    history = fleet()
    for month in sorted({row["date"][:7] for row in history}):
        put(folder / "source" / f"{month}.csv", csv_of([r for r in history if r["date"].startswith(month)]))
        load_all(folder / "source", folder / "fleet", names=[f"{month}.csv"])
    return folder


@contextmanager
def arrived(months: Path, news: News) -> Iterator[Path]:
    """The folder of sources with the news, until they are taken back."""
    source = months / "source"
    before = {path.name: path.read_bytes() for path in source.iterdir()}
    for name, text in news.files.items():
        put(source / name, text)
    yield source
    for path in source.iterdir():
        path.unlink()
    for name, content in before.items():
        put(source / name, content)


def test_month_by_month_is_at_once(months: Path, tmp_path: Path) -> None:
    load_all(months, tmp_path / "fleet", names=["source"])
    assert everything(months / "fleet") == everything(tmp_path / "fleet")
    assert manifest(months / "fleet")["checkpoint"]["through"] == "2025-03"
    outages = {
        (row["first_day"].isoformat(), row["detail"])
        for row in table(months / "fleet", "checks")
        if row["check"] == "outage"
    }
    assert [first for first, detail in outages if "east" in detail] == [day(29)]
    assert lives(months / "fleet", "E1") == [("E1", 0, LAST - 1, "in service")], "recognised only in May"


@pytest.mark.parametrize("case", NEWS)
def test_late_news_are_as_if_they_had_been_there_from_the_first(
    case: str, months: Path, tmp_path: Path
) -> None:
    news = NEWS[case]
    shutil.copytree(months / "fleet", tmp_path / "late")
    with arrived(months, news) as source:
        load_all(source, tmp_path / "late", news, names=sorted(news.files))
        load_all(months, tmp_path / "anew", news, names=["source"])
    assert everything(tmp_path / "late") == everything(tmp_path / "anew")
    assert everything(tmp_path / "late") != everything(months / "fleet"), "and they are news"


def test_what_another_version_carried_over_is_not_relied_on(months: Path, tmp_path: Path) -> None:
    shutil.copytree(months / "fleet", tmp_path / "late")
    known = manifest(tmp_path / "late")
    known["checkpoint"]["aliases"] = "of other columns"
    del known["checkpoint"]["tables"]["known_drives"]
    put(tmp_path / "late" / NAME, json.dumps(known))
    with arrived(months, News({"late.csv": csv_of(rows("N1", [LAST], site="north"))})) as source:
        load_all(source, tmp_path / "late", names=["late.csv"])
        load_all(months, tmp_path / "anew", names=["source"])
    assert everything(tmp_path / "late") == everything(tmp_path / "anew")
    assert manifest(tmp_path / "late")["checkpoint"]["tables"].keys() >= {"known_drives"}
