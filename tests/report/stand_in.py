"""A store in memory: a fleet given by its cells, which answers as a store on disk does."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from reliability.in_service import in_service
from reliability.loaders.accounts import (
    Accounts,
    Bridged,
    CheckTotal,
    Outcomes,
    SetAside,
    Silent,
    SourceAccount,
)
from reliability.loaders.exposure import Cell, Exposure
from reliability.loaders.reasons import Retirements
from reliability.loaders.standing import Standing
from reliability.quarter import Quarter
from reliability.risk_table import RiskTable, risk_table

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import date

NOTHING_BRIDGED = Bridged(gaps=0, drive_days=0)


@dataclass(frozen=True, slots=True)
class Piece:
    """The smallest cell of the fleet; `band` is None where the age is unknown."""

    model: str
    quarter: Quarter
    band: tuple[int, int | None] | None
    drives: int
    drive_days: int
    failures: int
    age: int | None  # in days at its start; it is in `band`
    batch: str | None = None
    rack: str | None = None
    site: str | None = None


@dataclass(frozen=True, slots=True)
class StandIn:
    """Answers from its pieces. Drives of a cell are the most of any of its pieces: none is ever replaced."""

    first_day: date
    last_day: date
    pieces: tuple[Piece, ...]
    failed_means: str = "the column failed is true on the day of the failure"
    vanished: dict[str, int] = field(default_factory=dict)
    retired: dict[str, int] = field(default_factory=dict)
    files_set_aside: tuple[SetAside, ...] = ()
    found: tuple[CheckTotal, ...] = ()
    absences: Bridged = NOTHING_BRIDGED
    reasons: tuple[Retirements, ...] = ()
    silent_sites: tuple[Silent, ...] = ()
    files: tuple[SourceAccount, ...] = (SourceAccount("drives.csv", "0" * 64, 100, 100, 0, 0),)

    def exposure(
        self, by: Sequence[str] = ("model",), first_day: date | None = None, last_day: date | None = None
    ) -> Exposure:
        pieces = [piece for piece in self.pieces if _within(piece.quarter, first_day, last_day)]
        aged = [piece for piece in pieces if "age" not in by or piece.band is not None]
        groups: dict[tuple[tuple[str, str | int | None], ...], list[Piece]] = {}
        for piece in aged:
            groups.setdefault(tuple(_labels(piece, by).items()), []).append(piece)
        cells = tuple(_sum(dict(labels), group) for labels, group in sorted(groups.items(), key=str))
        left_out = [piece for piece in pieces if piece not in aged]
        return Exposure(tuple(by), cells, _sum({}, pieces), _sum({}, left_out))

    def outcomes(self, last_day: date | None = None) -> tuple[Outcomes, ...]:
        cells = self.exposure(("model",), last_day=last_day).cells
        return tuple(self._outcomes_of(cell) for cell in cells)

    def _outcomes_of(self, cell: Cell) -> Outcomes:
        model = str(cell.labels["model"])
        vanished, retired = self.vanished.get(model, 0), self.retired.get(model, 0)
        in_service = cell.drives - cell.failures - vanished - retired
        return Outcomes(model, cell.drives, cell.failures, retired, vanished, in_service)

    def risk_table(self, model: str | None = None, last_day: date | None = None) -> RiskTable:
        """Give each piece lives of its own: a history cut in pieces says the same of every age.

        Those that fail do so at even distances; the model's last piece has those that are retired or vanish.
        """
        pieces = [
            piece
            for piece in self.pieces
            if piece.model == model and piece.age is not None and _within(piece.quarter, None, last_day)
        ]
        lives: list[tuple[int, int, str]] = []
        for piece in pieces:
            gone = {} if piece is not pieces[-1] else self._gone(piece.model)
            lives += _lives_of(piece, {"failed": piece.failures, **gone})
        columns: list[tuple[int | str, ...]] = list(zip(*lives, strict=True)) or [(), (), ()]
        return risk_table(*columns, exact=False)

    def risk_tables(self, last_day: date | None = None) -> dict[str, RiskTable]:
        return {each.model: self.risk_table(each.model, last_day) for each in self.pieces}

    def standing(self, last_day: date | None = None, failed_by: date | None = None) -> dict[str, Standing]:
        """All drives in service are as old as their model's last piece, or of unknown age as that."""
        assert failed_by is None, "nobody asks this fleet of failures to come"
        found = {}
        for each in self.outcomes(last_day):
            age = [piece.age for piece in self.pieces if piece.model == each.model][-1]
            drives = in_service([], each.in_service) if age is None else in_service([age] * each.in_service)
            found[each.model] = Standing(drives, failed=0)
        return found

    def _gone(self, model: str) -> dict[str, int]:
        return {"retired": self.retired.get(model, 0), "vanished": self.vanished.get(model, 0)}

    def accounts(self) -> Accounts:
        ends = self.outcomes()
        failed, vanished = sum(each.failed for each in ends), sum(each.vanished for each in ends)
        retired = sum(each.retired for each in ends)
        rows = [
            (each.rows_read, each.rows_kept, each.rows_rejected, each.duplicate_rows) for each in self.files
        ]
        drives = sum(each.drives for each in ends)
        read, kept, rejected, duplicate = (sum(column) for column in zip(*rows, strict=True))
        return Accounts(
            files=len(self.files),
            files_set_aside=len(self.files_set_aside),
            rows_read=read,
            rows_kept=kept,
            rows_rejected=rejected,
            duplicate_rows=duplicate,
            drives=drives,
            failed=failed,
            retired=retired,
            vanished=vanished,
            in_service=drives - failed - vanished - retired,
        )

    def sources(self) -> tuple[SourceAccount, ...]:
        return self.files

    def set_aside(self) -> tuple[SetAside, ...]:
        return self.files_set_aside

    def findings(self) -> tuple[CheckTotal, ...]:
        return self.found

    def bridged(self) -> Bridged:
        return self.absences

    def retirements(
        self, first_day: date | None = None, last_day: date | None = None
    ) -> tuple[Retirements, ...]:
        if first_day is not None and first_day > self.first_day:
            return ()  # all of them came at the beginning
        models = {str(cell.labels["model"]) for cell in self.exposure(("model",), last_day=last_day).cells}
        return tuple(each for each in self.reasons if each.model in models)

    def silent(self) -> tuple[Silent, ...]:
        return self.silent_sites


def _lives_of(piece: Piece, ends: dict[str, int]) -> list[tuple[int, int, str]]:
    start = piece.age or 0
    lives = [
        (start, start + max(1, 91 * number // (count + 1)), outcome)
        for outcome, count in ends.items()
        for number in range(1, count + 1)
    ]
    return lives + [(start, start + 91, "in service")] * (piece.drives - len(lives))


def _within(quarter: Quarter, first_day: date | None, last_day: date | None) -> bool:
    return (first_day is None or quarter.first_day >= first_day) and (
        last_day is None or quarter.last_day <= last_day
    )


def _labels(piece: Piece, by: Sequence[str]) -> dict[str, str | int | None]:
    labels: dict[str, str | int | None] = {}
    for group in by:
        if group == "model":
            labels["model"] = piece.model
        elif group == "quarter":
            labels["quarter"] = str(piece.quarter)
        elif group == "age" and piece.band is not None:
            labels |= {"age_from_days": piece.band[0], "age_to_days": piece.band[1]}
        elif group in ("batch", "rack", "site"):
            labels[group] = getattr(piece, group)
    return labels


def _sum(labels: dict[str, str | int | None], pieces: Sequence[Piece]) -> Cell:
    models = {piece.model for piece in pieces}
    drives = sum(max(piece.drives for piece in pieces if piece.model == model) for model in models)
    return Cell(drives, sum(p.drive_days for p in pieces), sum(p.failures for p in pieces), labels)


BANDS = ((0, 91), (91, 365), (365, 730), (730, 1095), (1095, 1460), (1460, 1825), (1825, 2555), (2555, None))
FIRST = Quarter(2024, 2)
GAP_PRICE = "Absences of at most 30 days count as exposure."


def history(
    model: str, failures: Sequence[int], *, drives: int, age: int | None, first: Quarter = FIRST
) -> tuple[Piece, ...]:
    """A model's pieces, one a quarter, for a group of drives of one age that is replaced as it fails."""
    pieces = []
    quarter = first
    for place, failed in enumerate(failures):
        days = 91 * place + (age or 0)
        band = None if age is None else max(band for band in BANDS if band[0] <= days)
        pieces.append(Piece(model, quarter, band, drives, 91 * drives, failed, None if age is None else days))
        quarter = quarter.next()
    return tuple(pieces)


def invented() -> StandIn:
    """A fleet with a model of every kind: makers, models and figures are invented."""
    pieces = (
        *history("TARN T18", (3, 5, 4, 6, 4, 7, 5, 4, 6, 8), drives=1200, age=420),
        *history("TARN T22", (1, 0, 1, 0, 2, 0, 1, 0, 1, 1), drives=910, age=0),
        *history("Korrin 12N", (4, 2, 3, 5, 3, 2, 4, 3, 2, 4), drives=1510, age=900),
        *history("Korrin 12N", (1, 0, 1, 0, 0, 1, 0, 1, 0, 0), drives=240, age=None),
        *history("Vashtel X20", (0, 0, 0, 0), drives=60, age=0, first=Quarter(2025, 4)),
        *history("Mauvel P8", (0, 0, 1, 0, 0), drives=12, age=1500, first=Quarter(2025, 3)),
        *history("Osk 4", (6, 4, 5, 7, 6, 8, 7, 9, 6, 9), drives=310, age=1700),
    )
    files = tuple(
        SourceAccount(
            f"readings/{year}-{month:02}.csv.gz", f"{year * month:064x}", 120_400 + month, 120_388, month, 12
        )
        for year, month in [(2024, m) for m in range(4, 13)] + [(2025, m) for m in range(1, 13)]
    )
    return StandIn(
        first_day=FIRST.first_day,
        last_day=Quarter(2026, 3).last_day,
        pieces=pieces,
        vanished={"Osk 4": 9, "Korrin 12N": 14},
        retired={"Osk 4": 21, "TARN T18": 40},
        reasons=(
            Retirements("Osk 4", preemptive=17, planned=4, unclear=()),
            Retirements("TARN T18", preemptive=6, planned=31, unclear=((None, 2), ("see note", 1))),
        ),
        files_set_aside=(
            SetAside("readings/notes.csv", "notes.csv has no column for 'date'; its columns are a, b."),
        ),
        found=(
            CheckTotal("gap", 41, 44, 44, "A drive is absent between two of its reports.", GAP_PRICE),
            CheckTotal(
                "duplicate_across_files", 2, 2, 2, "A drive reports on one day in two files.", "Counted once."
            ),
            CheckTotal("hours_backwards", 3, 3, 3, "Power-on hours fall.", "Age keeps to the calendar."),
            CheckTotal("vanished", 23, 23, 23, "A drive stopped appearing.", "See best and worst case."),
        ),
        absences=Bridged(38, 211),
        files=files,
    )
