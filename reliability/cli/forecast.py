"""`driveyears forecast`: failures to come, the spares to hold, and how such forecasts did in the past."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

from cyclopts import Parameter

from reliability.cli.forecast_table import write_backtest, write_forecast
from reliability.cli.models_asked import models_asked
from reliability.cli.options import DEFAULT_STORE, Format, StoreFolder
from reliability.cli.output import write_csv, write_json
from reliability.cli.whole import whole
from reliability.errors import QuestionError
from reliability.forecast.backtest import calibration
from reliability.forecast.model import LONGEST
from reliability.loaders.store import open_store
from reliability.report.forecasts import backtest_fleet, forecast_fleet

if TYPE_CHECKING:
    from reliability.forecast.backtest import Backtest, Calibration, Trial
    from reliability.forecast.model import Forecast

COLUMNS = ("model", "in_service", "expected", "low", "high", "spares", "method")
MORE = ("because", "unknown_age", "beyond", "dispersion")


def forecast(  # noqa: PLR0913  (each is an option)
    *,
    days: Annotated[
        int, Parameter(converter=whole, help="days to look ahead, from the end of the data")
    ] = 90,
    service: Annotated[float, Parameter(help="chance with which the spares are to be enough")] = 0.95,
    model: Annotated[str | None, Parameter(help="one model; by default all of them")] = None,
    backtest: Annotated[
        bool, Parameter(negative="", help="also forecast every past quarter, and tell what failed in it")
    ] = False,
    store: StoreFolder = DEFAULT_STORE,
    shown_as: Format = "table",
) -> None:
    """Failures to come among the drives in service, and the spares that are enough for them."""
    if not 1 <= days <= LONGEST:
        raise QuestionError(f"--days {days} cannot be forecast; give a whole number from 1 to {LONGEST:,}.")
    if not 0 < service < 1:
        raise QuestionError(
            f"--service {service:g} is no chance; give a number between 0 and 1, such as 0.95."
        )
    opened = open_store(store)
    models = () if model is None else models_asked(opened, [model])
    found = forecast_fleet(opened, days, models=models, service=service)
    past = backtest_fleet(opened, models=models, service=service) if backtest else None
    rows = [{"model": name, **_row(each)} for name, each in found.models.items()]
    if shown_as == "json":
        total = _row(found.total)
        told = None if past is None else _backtest(past)
        write_json({"days": days, "service": service, "rows": rows, "total": total, "backtest": told})
    elif shown_as == "csv":
        write_csv(rows, (*COLUMNS, *MORE))
    else:
        write_forecast(found)
        if past is not None:
            write_backtest(past)


def _row(found: Forecast) -> dict[str, object]:
    return {
        "in_service": found.in_service,
        "expected": found.expected,
        "low": int(found.interval.low),
        "high": int(found.interval.high),
        "spares": found.spares,
        "method": found.method.title,
        "because": found.method.because,
        "unknown_age": found.unknown_age,
        "beyond": found.beyond,
        "dispersion": found.dispersion,
    }


def _backtest(past: Backtest) -> dict[str, object]:
    return {
        "quarters": [_trial(trial) for trial in past.together],
        "models": [{"model": trial.model, **_trial(trial)} for trial in past.models],
        "calibration": {
            "quarters": _calibration(calibration(past.together)),
            "models": _calibration(calibration(past.models)),
        },
    }


def _trial(trial: Trial) -> dict[str, object]:
    told = _row(trial.forecast)
    return {
        "quarter": str(trial.quarter),
        **{name: told[name] for name in COLUMNS if name != "model"},
        "observed": trial.observed,
        "place": trial.place,
    }


def _calibration(found: Calibration | None) -> dict[str, object] | None:
    if found is None:
        return None
    return {
        "trials": found.trials,
        "below": found.below,
        "inside": found.inside,
        "above": found.above,
        "share_low": found.share.low,
        "share_high": found.share.high,
        "fourths": found.fourths,
        "spares_enough": found.spares,
    }
