"""Snapshots that stay where they lie: the cluster judges them, sums them up by month, and sends the stays home."""

from __future__ import annotations

import calendar
from dataclasses import replace
from datetime import date
from typing import TYPE_CHECKING

from reliability.errors import SourceError, StoreError
from reliability.loaders.careful_rows import Reject, reason_of
from reliability.loaders.cluster.engine import Cluster, told_apart
from reliability.loaders.cluster.files import RemoteFile, find_files, shapes, still_there
from reliability.loaders.cluster.rows import Readable, judged_rows, readable
from reliability.loaders.kept_rules import as_kept, kept_rules
from reliability.loaders.manifest import WORK, SourceEntry

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence
    from collections.abc import Mapping as Dictionary
    from pathlib import Path

    from pyspark.sql import SparkSession

    from reliability.loaders.manifest import MonthEntry
    from reliability.loaders.progress import Progress
    from reliability.loaders.reading import Reading
    from reliability.loaders.workplace import Workplace

LISTED_REJECTS = 1000  # of each file; all are counted


class InPlace:
    """Parquet files on a cluster, summed up there; the store remembers where they lie and how they are read."""

    def __init__(self, session: SparkSession, sources: Sequence[str]) -> None:
        with told_apart():
            self.cluster = Cluster(session)
            self.found = find_files(self.cluster, sources)
        self.readable: dict[str, Readable] = {}

    def read(self, place: Workplace, reading: Reading, progress: Progress) -> None:
        """Judge the rows of the files that are new: how many of each month, and which cannot be kept."""
        if reading.sources and not reading.read_in_place:
            raise StoreError(
                f"The store in {place.folder} holds its snapshots itself, and none that stay on a cluster. "
                "Load them into another folder with --store."
            )
        self.reading = reading
        read_by = {entry.rules for entry in reading.sources.values()}
        self.rules = kept_rules(place.folder, reading.read_in_place, read_by)
        progress.begin(len(self.found), sum(file.size for file in self.found))
        new = [file for file in self.found if not reading.knows_by_name(file.name, file.digest)]
        for file in set(self.found) - set(new):
            reading.keep(file.name)
            progress.file_done(file.size, 0)
        with told_apart():
            self._place(new)
            self._judge([file for file in new if file.name in self.readable], progress)

    def sum_up(
        self, place: Workplace, parts: Dictionary[str, Sequence[str]], progress: Progress
    ) -> Iterator[tuple[str, list[Path]]]:
        """Each month with the stays of the files' rows, made on the cluster, in a file here."""
        home = place.aside / "home.parquet"
        for month, names in parts.items():
            progress.step(f"reducing {month}")
            with told_apart():
                self._rows_of(month, names)
                self.cluster.define("snapshots")
                self.cluster.fetch(self.cluster.rows("stays"), home, at_most=self._rows_at_most(names))
            yield month, [home]

    def settle(self, place: Workplace, month: str, parts: Sequence[str]) -> None:
        """Make `settled_stays` and `new_repeats` of the drives in `awkward`, on the cluster."""
        with told_apart():
            self._rows_of(month, parts)
            for table in ("awkward", "spellings"):
                self.cluster.hold(table, place.engine.arrow(table))
            at_most = self._rows_at_most(parts)
            with self.cluster.kept(self.cluster.define("snapshots", "awkward_snapshots")):
                self._bring_home(place, "new_repeats", "repeats", at_most)
                self.cluster.define("snapshots", "settled_snapshots")
                self._bring_home(place, "settled_stays", "stays", at_most)

    def close_accounts(self, place: Workplace, reading: Reading, months: Dictionary[str, MonthEntry]) -> None:
        """Tell kept rows from duplicates, which show only when the months have been settled."""
        place.engine.view("repeats", place.files(month.repeats for month in months.values() if month.repeats))
        for name, rows in place.engine.ask("duplicate_rows"):
            if name in reading.read_now():
                entry = reading.sources[name]
                kept = entry.rows_read - entry.rows_rejected - rows
                reading.sources[name] = replace(entry, rows_kept=kept, duplicate_rows=rows)

    def _place(self, files: Sequence[RemoteFile]) -> None:
        """Find our columns in the files; one that cannot be used is set aside."""
        found = shapes(self.cluster, [file.name for file in files])
        for file in files:
            try:
                self.readable[file.name] = readable(file, found[file.name], self.reading.mapping)
            except SourceError as error:
                self.reading.aside[file.name] = str(error)

    def _judge(self, files: Sequence[RemoteFile], progress: Progress) -> None:
        if not files:
            return
        judged_rows(self.cluster, (self.readable[file.name] for file in files)).createOrReplaceTempView(
            "judged"
        )
        counts: dict[str, dict[date | None, int]] = {}
        for name, month, rows in self.cluster.ask("cluster/counts"):
            counts.setdefault(name, {})[month] = rows
        rejects = self._rejects() if any(None in months for months in counts.values()) else {}
        for file in files:
            months = counts.get(file.name, {})
            if not months:
                self.reading.aside[file.name] = "it has a header and no rows"
                continue
            self._take(file, months, rejects.get(file.name, []))
            progress.file_done(file.size, sum(months.values()))

    def _rejects(self) -> dict[str, list[Reject]]:
        mapping = self.reading.mapping
        found: dict[str, list[Reject]] = {}
        for name, row, fault, day, cell in self.cluster.ask("cluster/rejects", listed=LISTED_REJECTS):
            reason = reason_of(fault, cell, day, mapping.date_format())
            found.setdefault(name, []).append(Reject(row + 1, mapping.theirs(fault) or fault, cell, reason))
        return found

    def _take(self, file: RemoteFile, months: dict[date | None, int], rejects: list[Reject]) -> None:
        rejected = months.get(None, 0)
        read = sum(months.values())
        entry = SourceEntry(
            digest=file.digest,
            rules=self.reading.rules,
            rows_read=read,
            rows_kept=read - rejected,
            rows_rejected=rejected,
            duplicate_rows=0,
            parts={f"{month:%Y-%m}": file.name for month in sorted(months.keys() - {None})},  # type: ignore[type-var]  # none is left
        )
        self.reading.take(file.name, entry, tuple(rejects))
        self.reading.read_in_place[entry.rules] = as_kept(self.reading.mapping)

    def _rows_of(self, month: str, names: Sequence[str]) -> None:
        """Name the rows of a month in files, those of earlier loads included, `snapshot_rows`."""
        self._look_again([name for name in names if name not in self.readable])
        judged_rows(self.cluster, (self.readable[name] for name in names)).createOrReplaceTempView("judged")
        year, number = map(int, month.split("-"))
        last = date(year, number, calendar.monthrange(year, number)[1])
        self.cluster.define(
            "snapshot_rows", "cluster/snapshot_rows", first_day=date(year, number, 1), last_day=last
        )

    def _look_again(self, names: Sequence[str]) -> None:
        """Place the columns of files of earlier loads. Raises SourceError if one is not as it was."""
        if not names:
            return
        now = still_there(self.cluster, names)
        found = shapes(self.cluster, names)
        for name in names:
            entry = self.reading.sources[name]
            if name not in now or now[name].digest != entry.digest:
                raise SourceError(
                    f"{name} is not as it was when it was loaded, and its rows are needed again. "
                    "Name it among the sources, or put it back."
                )
            self.readable[name] = readable(now[name], found[name], self.rules[entry.rules])

    def _rows_at_most(self, names: Sequence[str]) -> int:
        return sum(self.reading.sources[name].rows_read for name in names)

    def _bring_home(self, place: Workplace, table: str, query: str, at_most: int) -> None:
        path = place.folder / WORK / "home" / f"{table}.parquet"
        self.cluster.fetch(self.cluster.rows(query), path, at_most=at_most)
        place.engine.view("came_home", [path])
        place.engine.make(table, "cluster/came_home")
