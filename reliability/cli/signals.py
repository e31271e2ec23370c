"""`driveyears signals`: how health counters, temperature and workload go with failure."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

from cyclopts import Parameter

from reliability.cli.associations import Association, association
from reliability.cli.models_asked import models_asked
from reliability.cli.options import DEFAULT_STORE, FirstDay, Format, LastDay, StoreFolder, day
from reliability.cli.output import write_csv, write_json
from reliability.cli.signals_table import write_signals
from reliability.cli.stated import stated_for
from reliability.cli.within_rating import WithinRating, rating_of, within_ratings
from reliability.interval import Interval
from reliability.loaders.signals import EXPOSED, RATED_SIGNALS, STATES
from reliability.loaders.store import open_store
from reliability.rate import Rate
from reliability.signals.hazard_ratio import HazardRatio, Refused

LEVEL = 0.95
RATIOS = (
    *("crude_ratio", "crude_low", "crude_high", "ratio", "low", "high"),
    *("cox_ratio", "cox_low", "cox_high", "agree", "refused"),
)


def signals(  # noqa: PLR0913  (each is an option of the command)
    *,
    datasheets: Annotated[
        Path | None,
        Parameter(help="TOML file of what is stated; temperature and workload are held against it"),
    ] = None,
    model: Annotated[
        tuple[str, ...],
        Parameter(
            help="a model to look at, once for each; without one, all", negative=(), show_default=False
        ),
    ] = (),
    first_day: FirstDay = None,
    last_day: LastDay = None,
    store: StoreFolder = DEFAULT_STORE,
    shown_as: Format = "table",
) -> None:
    """Compare how often drives fail in each state of each signal, and say who had a warning before failing."""
    opened = open_store(store)
    sheets = () if datasheets is None else stated_for(opened, datasheets)
    histories = opened.signals(
        {sheet.model: rating_of(sheet) for sheet in sheets},
        models_asked(opened, model),
        day("--from", first_day),
        day("--to", last_day),
    )
    rated = {history.signal: history for history in histories if history.signal in RATED_SIGNALS}
    found = [
        association(history, level=LEVEL) for history in histories if sheets or history.signal not in rated
    ]
    within = within_ratings(rated["either_rating"], sheets, level=LEVEL)
    if shown_as == "json":
        write_json(
            {
                "level": LEVEL,
                "signals": [_signal(each) for each in found],
                "within_rating": [_within(each) for each in within],
            }
        )
    elif shown_as == "csv":
        rows = [row for each in found for row in _rows(each)]
        write_csv(rows, list(rows[0]))
    else:
        write_signals(found, within, LEVEL)


def _signal(found: Association) -> dict[str, object]:
    left_out = found.history.of_unknown_age
    return {
        "signal": found.history.signal,
        "states": [{"state": state, **_counts(found.rate(state))} for state in STATES],
        "unknown_age": {"drive_days": left_out.drive_days, "failures": left_out.failures},
        **_ratios(found),
        "warnings": _warnings(found),
    }


def _rows(found: Association) -> list[dict[str, object]]:
    """A row a state; the ratios stand with the exposed one."""
    ratios, nothing = _ratios(found), dict.fromkeys(RATIOS)
    return [
        {
            "signal": found.history.signal,
            "state": state,
            **_counts(found.rate(state)),
            **(ratios if state == EXPOSED else nothing),
        }
        for state in STATES
    ]


def _counts(rate: Rate) -> dict[str, object]:
    limits = rate.interval(LEVEL)
    return {
        "drive_days": rate.drive_days,
        "drive_years": rate.drive_years,
        "failures": rate.failures,
        "afr": rate.per_year,
        "afr_low": limits.low,
        "afr_high": limits.high,
    }


def _ratios(found: Association) -> dict[str, object]:
    crude = (None, None) if found.crude is None else (found.crude.value, found.crude.interval)
    ways = [_limits(*crude), *(_limits(*_estimate(way)) for way in (found.by_rates, found.by_cox))]
    numbers = [number for way in ways for number in way]
    return dict(zip(RATIOS, (*numbers, found.agree, found.refused), strict=True))


def _estimate(found: HazardRatio | Refused | None) -> tuple[float | None, Interval | None]:
    return (found.value, found.interval) if isinstance(found, HazardRatio) else (None, None)


def _limits(
    value: float | None, interval: Interval | None
) -> tuple[float | None, float | None, float | None]:
    return (value, None, None) if interval is None else (value, interval.low, interval.high)


def _warnings(found: Association) -> dict[str, object] | None:
    told = found.warnings
    if told is None:
        return None
    _, low, high = _limits(None, told.failures.interval)
    lead = told.lead_time
    return {
        "failures_reported": told.failures.of,
        "failures_warned": told.failures.count,
        "warned_share": told.failures.value,
        "warned_low": low,
        "warned_high": high,
        "lead_days": lead
        and {
            "least": lead.least,
            "lower_quartile": lead.lower_quartile,
            "median": lead.median,
            "upper_quartile": lead.upper_quartile,
            "most": lead.most,
        },
        "in_service_reported": told.in_service.of,
        "in_service_warned": told.in_service.count,
    }


def _within(line: WithinRating) -> dict[str, object]:
    comparison = line.comparison
    return {
        "model": line.model,
        **_counts(comparison.rate),
        "stated_rate": comparison.stated,
        "p_value": comparison.p_value,
        "verdict": comparison.verdict.value,
        "sentence": comparison.sentence,
        "drive_years_above": line.above.drive_years,
        "failures_above": line.above.failures,
        "drive_years_unknown": line.unknown.drive_years,
        "failures_unknown": line.unknown.failures,
    }
