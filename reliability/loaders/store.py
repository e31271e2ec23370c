"""The questions a store answers. It reads what the manifest names, and writes nothing."""

from __future__ import annotations

from contextlib import contextmanager
from dataclasses import dataclass
from datetime import date
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Any

from reliability.errors import QuestionError
from reliability.loaders.accounts import (
    Accounts,
    Bridged,
    CheckTotal,
    Outcomes,
    Rejections,
    SetAside,
    Silent,
    SourceAccount,
    accounts,
    check_totals,
    source_accounts,
)
from reliability.loaders.ages import tables_by_age
from reliability.loaders.day_rules import VANISH_DAYS
from reliability.loaders.engine import Engine
from reliability.loaders.exposure import BAND_ENDS, Exposure, exposure, groupings_of
from reliability.loaders.manifest import Manifest, Running, read_manifest
from reliability.loaders.opened_tables import opened_tables
from reliability.loaders.reasons import Retirements, retirements
from reliability.loaders.signals import Rating, SignalHistory, signal_histories
from reliability.loaders.spellings import alias_keys, no_such_model, spellings
from reliability.loaders.window import day_of, window_of
from reliability.spelling import folded

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence
    from contextlib import AbstractContextManager

    import pandas as pd

    from reliability.in_service import InService
    from reliability.loaders.standing import Standing
    from reliability.loaders.window import Day
    from reliability.risk_table import RiskTable


def open_store(folder: str | Path) -> Store:
    """Open a store for questions.

    Raises StoreError if there is none in the folder, or one of another version.
    """
    path = Path(folder)
    return Store(path, read_manifest(path))


@dataclass(frozen=True)
class Store:
    """A store as its manifest stood when it was opened."""

    folder: Path
    manifest: Manifest

    @cached_property
    def _first_engine(self) -> Engine:
        """Never asked itself: a start takes longer than most questions, and each has an engine beside this one."""
        return Engine()

    @cached_property
    def _days(self) -> tuple[date, date]:
        first, last = self._ask("days", "days_collected")[0]
        return first, last

    @property
    def first_day(self) -> date:
        """The first day on which the fleet reported."""
        return self._days[0]

    @property
    def last_day(self) -> date:
        """The last day on which the fleet reported."""
        return self._days[1]

    @property
    def failed_means(self) -> str:
        """How the snapshots say that a drive failed, in words."""
        return self.manifest.failed_means or "unknown"

    @cached_property
    def _models(self) -> tuple[str, ...]:
        return tuple(row[0] for row in self._ask("models", "lives"))

    def models(self) -> tuple[str, ...]:
        """The models, in alphabetical order."""
        return self._models

    def shown_name(self, model: str) -> str:
        """The name under which the store shows a model, given any spelling of it; one it does not know as given."""
        return self._shown.get(folded(model), model)

    @cached_property
    def _shown(self) -> dict[str, str]:
        """Folded spelling -> the name that is shown for it."""
        names = {folded(shown): shown for shown in (self.models() if self.manifest.months else ())}
        aliases = alias_keys(self.manifest.models)
        return names | {spelt: names.get(folded(key), key) for spelt, key in aliases.items()}

    def running(self) -> dict[str, Running]:
        """The running comparisons that reports have fixed, by model.

        Of those of several models that an alias has made one, the one that began first.
        """
        found: dict[str, Running] = {}
        for name, each in sorted(self.manifest.running.items(), key=lambda item: item[1].start, reverse=True):
            found[folded(self.shown_name(name))] = each
        return {model: found[folded(model)] for model in self.models() if folded(model) in found}

    def exposure(
        self, by: str | Sequence[str] = "model", first_day: Day | None = None, last_day: Day | None = None
    ) -> Exposure:
        """Drive-days and failures by cell, in a window of days that includes both.

        by  any of model, quarter, age, site, rack, batch; none: one cell with everything

        Lives are clipped to the window; a failure counts if its day lies in it. Cells and left_out together
        hold all drive-days; what is left out is only what has no known age, where age is asked for. Raises
        QuestionError for another grouping or an empty window.
        """
        asked, window = groupings_of(by), window_of(first_day, last_day)
        with self._engine("whereabouts") as engine:
            return exposure(engine, asked, *window)

    def rates(
        self, by: str | Sequence[str] = "model", first_day: Day | None = None, last_day: Day | None = None
    ) -> Exposure:
        """The same; each cell has a rate with its interval, and `to_frame()` shows them."""
        return self.exposure(by, first_day, last_day)

    def outcomes(self, last_day: Day | None = None) -> tuple[Outcomes, ...]:
        """How the last life of each drive stood at a day, by model; without one, at the end of the data."""
        with self._engine("lives") as engine:
            rows = engine.ask("questions/outcomes", last_day=day_of(last_day) or date.max)
        return tuple(Outcomes(*row) for row in rows)

    def retirements(
        self, first_day: Day | None = None, last_day: Day | None = None
    ) -> tuple[Retirements, ...]:
        """Lives retired in a window of days that includes both, by model and by what their reasons tell."""
        first, last = window_of(first_day, last_day)
        with self._engine("lives") as engine:
            counts = engine.ask(
                "questions/retirements", first_day=first or date.min, last_day=last or date.max
            )
        return retirements(counts, self.manifest.retired)

    def accounts(self) -> Accounts:
        """The whole store in numbers; also of a store that has no drive-day."""
        return accounts(self.manifest, self.outcomes() if self.manifest.months else ())

    def sources(self) -> tuple[SourceAccount, ...]:
        """Each file of snapshots, in the order of names."""
        return source_accounts(self.manifest)

    def set_aside(self) -> tuple[SetAside, ...]:
        """Each file that could not be used."""
        return tuple(SetAside(name, reason) for name, reason in sorted(self.manifest.set_aside.items()))

    def rejections(self) -> tuple[Rejections, ...]:
        """What was wrong with rejected rows, the most frequent first; also of a store that has no drive-day."""
        if "rejects" not in self.manifest.tables:
            return ()
        with self._tables("rejects") as engine:
            return tuple(Rejections(*row) for row in engine.ask("questions/rejections"))

    def findings(self) -> tuple[CheckTotal, ...]:
        """Every check that found something, in the order of the list of checks."""
        if not self.manifest.months:
            return ()
        with self._engine("checks") as engine:
            return check_totals(engine.ask("questions/check_totals"))

    def bridged(self) -> Bridged:
        """Absences within lives, of any length, and the drive-days credited for them."""
        gaps, days = self._ask("bridged", "lives")[0]
        return Bridged(int(gaps), int(days))

    def silent(self) -> tuple[Silent, ...]:
        """Drives in service that were not seen at the end, for their whole site fell silent; by model and site."""
        with self._engine("lives", "days_collected") as engine:
            engine.hold("month_days", "day int", [(day,) for day in range(1, 32)])
            return tuple(Silent(*row) for row in engine.ask("questions/silent", vanish_days=VANISH_DAYS))

    def lives(self, model: str | None = None) -> pd.DataFrame:
        """One row a life; of one model, or of all. Raises QuestionError if there is no such model."""
        self._check_model(model)
        with self._engine("lives") as engine:
            frame: pd.DataFrame = engine.arrow("lives").to_pandas()
        return frame if model is None else frame[frame["model"] == model].reset_index(drop=True)

    def risk_table(self, model: str | None = None, last_day: Day | None = None) -> RiskTable:
        """Counts of lives by age in whole days; lives of unknown age are left out.

        last_day  as if the data ended with this day: lives begun by it, and what ended later still in service

        Raises QuestionError if there is no such model.
        """
        self._check_model(model)
        models = self.models() if model is None else (model,)
        with self._engine("lives") as engine:
            return tables_by_age(engine, dict.fromkeys(models, 0), day_of(last_day))[0]

    def risk_tables(self, last_day: Day | None = None) -> dict[str, RiskTable]:
        """The same for every model at once, in alphabetical order."""
        with self._engine("lives") as engine:
            models = [model for (model,) in engine.ask("questions/models")]
            places = {model: place for place, model in enumerate(models)}
            tables = tables_by_age(engine, places, day_of(last_day))
        return dict(zip(models, tables, strict=True))

    def signals(
        self,
        ratings: Mapping[str, Rating] | None = None,
        models: str | Sequence[str] = (),
        first_day: Day | None = None,
        last_day: Day | None = None,
    ) -> tuple[SignalHistory, ...]:
        """What became of drives in each state of each signal: health counters, temperature, workload.

        ratings  what models are rated for, by any spelling; temperature and workload are held against it. Of a model
                 that the store does not have it is passed over
        models   those to look at; none: all

        In each signal the cells hold all drive-days and failures of the window. Raises QuestionError if there is no
        such model, or for an empty window.
        """
        first, last = window_of(first_day, last_day)
        asked = (models,) if isinstance(models, str) else tuple(models)
        for model in asked:
            self._check_model(model)
        read = sorted({name for month in self.manifest.months.values() for name in month.models})
        names = [(spelling.read, spelling.shown) for spelling in spellings(read, self.manifest.models)]
        with self._engine("lives") as engine:
            engine.view("stays", [self.folder / month.stays for month in self.manifest.months.values()])
            return signal_histories(
                engine,
                asked or self.models(),
                model_names=names,
                ratings={self.shown_name(name): rating for name, rating in (ratings or {}).items()},
                window=(first or date.min, last or date.max),
                band_ends=BAND_ENDS,
            )

    def standing(self, last_day: Day | None = None, failed_by: Day | None = None) -> dict[str, Standing]:
        """By model, the drives in service at the end of a day by age, and how many of them failed by another.

        last_day   as they were known on that day: a drive that was to vanish was still in service. Without one, the
                   end of the data. A drive that was not seen on the day itself has grown older since.
        failed_by  a later day, which counts; without one no failure is counted

        A model of which no drive was in service is not named.
        """
        from reliability.loaders.standing import standing_by_model  # noqa: PLC0415  (rates need no arrays)

        day = min(day_of(last_day) or self.last_day, self.last_day)
        with self._engine("lives", "days_collected") as engine:
            engine.hold("month_days", "day int", [(day,) for day in range(1, 32)])
            asked = {"last_day": day, "failed_by": day_of(failed_by) or day, "vanish_days": VANISH_DAYS}
            rows = engine.ask("questions/in_service", **asked)
        return standing_by_model((model, age, drives, failed) for model, age, drives, failed in rows)

    def in_service(self, model: str | None = None, last_day: Day | None = None) -> InService:
        """Drives of one model, or of all, in service at the end of a day, as `standing` has them.

        Raises QuestionError if there is no such model.
        """
        from reliability.in_service import in_service  # noqa: PLC0415  (rates need no arrays)

        self._check_model(model)
        standing = self.standing(last_day)
        asked = standing.values() if model is None else [standing[model]] if model in standing else []
        return sum((each.drives for each in asked), start=in_service([]))

    def _check_model(self, model: str | None) -> None:
        if model is not None and model not in (known := self.models()):
            raise no_such_model(model, known)

    @contextmanager
    def _engine(self, *tables: str) -> Iterator[Engine]:
        if not self.manifest.months:
            why = "every row was rejected" if self.manifest.sources else "no snapshots were loaded yet"
            raise QuestionError(
                f"The store in {self.folder} holds no drive-day: {why}. "
                f"See `driveyears checks --store {self.folder}`, mend the files or give a mapping, and load again."
            )
        with self._tables(*tables) as engine:
            yield engine

    def _tables(self, *names: str) -> AbstractContextManager[Engine]:
        return opened_tables(self.folder, self.manifest, names, beside=self._first_engine)

    def _ask(self, question: str, table: str) -> list[tuple[Any, ...]]:
        with self._engine(table) as engine:
            return engine.ask(f"questions/{question}")
