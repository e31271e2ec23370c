"""`driveyears survival`: how models age, from counts by age."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

from cyclopts import Parameter

from reliability.cli.models_asked import models_asked
from reliability.cli.options import DEFAULT_STORE, Format, StoreFolder
from reliability.cli.output import write_csv, write_json
from reliability.cli.survival_table import write_models
from reliability.errors import QuestionError
from reliability.loaders.store import open_store
from reliability.survival.ageing import Ageing, ageing
from reliability.units import DAYS_PER_YEAR

if TYPE_CHECKING:
    from reliability.survival.weibull_life import Estimate, Weibull

LEVEL = 0.95
DEFAULT_AGES = "1y,3y,5y"
STEPS = ("model", "age_days", "at_risk", "failures", "survival", "low", "high")
UNITS = {"d": 1, "y": DAYS_PER_YEAR}


def survival(
    *,
    model: Annotated[str | None, Parameter(help="one model; by default all of them")] = None,
    at: Annotated[str, Parameter(help="ages, with commas between: 1y is 365 days, 90d is 90")] = DEFAULT_AGES,
    store: StoreFolder = DEFAULT_STORE,
    shown_as: Format = "table",
) -> None:
    """Survival by age with late entry, what became of the drives, a Weibull life, and the rate by age band."""
    ages = _ages(at)
    opened = open_store(store)
    asked = () if model is None else models_asked(opened, [model])
    tables = {name: opened.risk_table(name) for name in asked} or opened.risk_tables()
    outcomes = {each.model: each for each in opened.outcomes()}
    found = [(name, outcomes[name].drives, ageing(table, ages, LEVEL)) for name, table in tables.items()]
    if shown_as == "json":
        write_json({"models": [_payload(*each) for each in found]})
    elif shown_as == "csv":
        write_csv([{"model": name, **step} for name, _, each in found for step in _steps(each)], STEPS)
    else:
        write_models(found, {name: outcomes[name].vanished for name in tables})


def _ages(text: str) -> tuple[int, ...]:
    """Ages in days. Raises QuestionError where one is written otherwise than 1y or 90d."""
    ages = []
    for part in filter(None, (part.strip() for part in text.split(","))):
        number, unit = part[:-1], part[-1].lower()
        if unit not in UNITS or not number.isdecimal():
            raise QuestionError(f"--at {part} is no age; write years as 3y (365 days each) or days as 90d.")
        ages.append(int(number) * UNITS[unit])
    return tuple(ages)


def _payload(model: str, drives: int, found: Ageing) -> dict[str, object]:
    shares = found.incidence
    incidence = [
        {"age_days": age, "failed": failed, "retired": retired, "vanished": vanished}
        for age, failed, retired, vanished in zip(
            shares.ages.tolist(),
            shares.failed.tolist(),
            shares.retired.tolist(),
            shares.vanished.tolist(),
            strict=True,
        )
    ]
    return {
        "model": model,
        "drives": drives,
        "failures": found.table.failures,
        "from_age_days": found.curve.from_age,
        "kaplan_meier": _steps(found),
        "at": [
            {
                "age_days": a.age_days,
                "at_risk": a.at_risk,
                "survival": a.survival,
                "low": a.low,
                "high": a.high,
            }
            for a in found.at
        ],
        "cumulative_incidence": incidence or None,
        "weibull": None if found.weibull is None else _weibull(found.weibull),
        "weibull_refused": None if found.refused is None else found.refused.sentence,
        "hazard": [
            {
                "age_from_days": band.from_days,
                "age_to_days": band.to_days,
                "failures": band.rate.failures,
                "drive_years": band.rate.drive_years,
                "rate": band.rate.per_year,
                "low": band.rate.interval(LEVEL).low,
                "high": band.rate.interval(LEVEL).high,
            }
            for band in found.hazard.bands
        ],
    }


def _steps(found: Ageing) -> list[dict[str, object]]:
    curve = found.curve
    columns = (curve.ages, curve.at_risk, curve.failures, curve.survival, curve.low, curve.high)
    rows = zip(*(column.tolist() for column in columns), strict=True)
    return [dict(zip(STEPS[1:], row, strict=True)) for row in rows]


def _weibull(fit: Weibull) -> dict[str, object]:
    return {
        **_estimate("shape", "shape", fit.shape),
        **_estimate("scale_days", "scale", fit.scale),
        **_estimate("b10_days", "b10", fit.quantiles[0].age),
        "log_likelihood": fit.log_likelihood,
    }


def _estimate(name: str, limits: str, estimate: Estimate) -> dict[str, object]:
    return {name: estimate.value, f"{limits}_low": estimate.low, f"{limits}_high": estimate.high}
