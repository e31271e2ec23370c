"""The sample that `driveyears plan` speaks of: as told on the command line, or a model of the store."""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from reliability.cli.models_asked import models_asked
from reliability.errors import QuestionError
from reliability.rate import Rate
from reliability.units import DAYS_PER_YEAR


@dataclass(frozen=True, slots=True)
class Sample:
    """What was seen; `drives` at hand, and from a store also the last day of its data, and drives that vanished."""

    rate: Rate
    drives: int | None
    data_end: date | None = None
    vanished: int = 0


def told_sample(
    failures: int | None, drives: int | None, days: float | None, drive_years: float | None
) -> Sample:
    """As told by the options; nothing told is no sample yet. Raises QuestionError for what is none and was told."""
    if failures is drives is days is drive_years is None:
        return Sample(Rate(0, 0), None)
    exposure = _drive_days(drives, days, drive_years)
    if failures is None:
        raise QuestionError("--failures is missing; give the drives that failed in the sample, such as 0.")
    return Sample(Rate(failures, exposure), drives)


def sample_of_model(model: str, folder: Path, told: tuple[object, ...]) -> Sample:
    """All that the store has seen of a model. Raises QuestionError if there is none, or a sample is told as well."""
    from reliability.loaders.store import open_store  # noqa: PLC0415  (only this question needs a store)

    if any(value is not None for value in told):
        raise QuestionError(
            "--model takes failures and exposure from the store, and others are given as well; "
            "leave out --model, or --failures, --drives, --days and --drive-years."
        )
    store = open_store(folder)
    cells = {str(cell.labels["model"]): cell for cell in store.exposure().cells}
    (name,) = models_asked(store, [model])
    ends = next(each for each in store.outcomes() if each.model == name)
    return Sample(cells[name].rate, ends.in_service, store.last_day, ends.vanished)


def _drive_days(drives: int | None, days: float | None, drive_years: float | None) -> float:
    counted = drives is not None or days is not None
    if counted == (drive_years is not None):
        given = "both were given" if counted else "neither was given"
        raise QuestionError(
            f"The exposure is --drives with --days, or --drive-years, and {given}; give one of the two."
        )
    if counted and (drives is None or days is None):
        given, missing = ("--days", "--drives 12") if drives is None else ("--drives", "--days 365")
        raise QuestionError(
            f"{given} alone is no exposure; add the other of the two, such as {missing}, or give --drive-years."
        )
    for option, value in (("--drives", drives), ("--days", days), ("--drive-years", drive_years)):
        if value is not None and not 0 <= value < math.inf:
            raise QuestionError(f"{option} {value} is no exposure; give a number, 0 or more.")
    if drive_years is not None:
        return drive_years * DAYS_PER_YEAR
    assert drives is not None  # noqa: S101  (held above; this tells mypy)
    assert days is not None  # noqa: S101  (the same)
    return drives * days
